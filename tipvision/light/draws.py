"""The same 64 Gaussian draws every time: how the light's doubt becomes samples."""

from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

DRAWS = 64  # the most a Light may carry
MOST_DIMENSIONS = 13
# Chosen among the odd numbers for little correlation between any two dimensions before the last
# step below; our estimate.
_MULTIPLIER = 13


@cache
def gaussian_draws(dimensions: int) -> NDArray[np.float64]:
    """Draws of independent standard normal numbers, spread evenly instead of at random.

    A lattice of 64 points: along every dimension each of the 64 equal shares of probability is hit
    exactly once, at its middle, and each point stands with its mirror image. The inverse normal
    distribution turns them into draws, and a linear map makes their covariance the identity. So
    the mean is 0 and the standard deviation 1 although the draws are few, and the same photo gives
    the same numbers on every machine.

    dimensions: 1 to 13; ValueError outside.
    Returns float64 (64, dimensions), read-only.
    Source: lattices of powers of one multiplier (Korobov): from memory, unchecked; what is claimed
    above is tested.
    """
    if not 1 <= dimensions <= MOST_DIMENSIONS:
        raise ValueError(f"{dimensions} dimensions asked for; 1 to {MOST_DIMENSIONS} are possible")
    modulus = 2 * DRAWS
    powers = [pow(_MULTIPLIER, k, modulus) for k in range(dimensions)]
    inverse = NormalDist().inv_cdf
    middles = np.array([inverse((2 * i + 1) / modulus) for i in range(DRAWS)])  # of each share
    odd = (2 * np.arange(DRAWS) + 1)[:, None] * np.array(powers) % modulus
    lattice = middles[odd // 2]
    spread = np.linalg.cholesky(lattice.T @ lattice / DRAWS)
    draws: NDArray[np.float64] = np.linalg.solve(spread, lattice.T).T
    draws.flags.writeable = False
    return draws
