"""Thresholds of conformal sets, class by class, where photos of one plug are no separate proof."""

import math

import numpy as np
from numpy.typing import NDArray


def least_probability(
    probabilities: NDArray[np.float64], plugs: NDArray[np.int64], coverage: float
) -> float:
    """The probability that the true label must reach to be in a set that covers so many plugs.

    probabilities: float64 (n,), of the true label, on photos that were not fitted on. plugs: int
    (n,), which plug each shows; a plug counts once, its photos sharing its weight.
    Returns the greatest threshold below which at most (1 - coverage)(m + 1) - 1 of m plugs lie; 0
    where m is too small for any, so that the label is in every set.

    Source of the method: split conformal prediction with the score 1 - probability; with one photo
    a plug it is that of crepes (reference library: see the tests). The weights are our
    own arrangement.
    """
    numbers, counts = np.unique(plugs, return_counts=True)
    weight = 1.0 / counts[np.searchsorted(numbers, plugs)]
    room = (1 - coverage) * (len(numbers) + 1) - 1
    if room < -1e-9 or math.isclose(len(numbers), 0):
        return 0.0
    order = np.argsort(probabilities, kind="stable")
    below = np.concatenate([[0.0], np.cumsum(weight[order])[:-1]])
    inside = np.flatnonzero(below <= room + 1e-9)
    return float(probabilities[order[inside[-1]]])
