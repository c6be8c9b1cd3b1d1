"""What one grey of known reflectance tells of the light, and what it leaves open."""

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.light.draws import gaussian_draws

# Standard deviations of ln(gain); both our estimate.
CARD_REFLECTANCE_SD = 0.03  # grey cards of different make, age and dirt
CARD_NEUTRAL_SD = 0.015  # the same, channel against channel
# One grey says nothing of how camera and lamp mix the colours. A mixing matrix that leaves greys
# alone stands for it; standard deviation of its entries off the diagonal, such that the true colour
# lies in the 95 % region for 95 in 100 noses under thirteen lamps with gaps and lines in their
# spectra and eight cameras. Source: measured: python -m pipelines.bench.card_simulation.
MIXING_SD = 0.20

_OFF_DIAGONAL = ((0, 1), (0, 2), (1, 0), (1, 2), (2, 0), (2, 1))


def correction_of(ln_gain: NDArray[np.float64]) -> Correction:
    """Each channel of nominal linear sRGB times its gain (von Kries's rule with the camera's own
    channels as the cones); sRGB's daylight matrix makes XYZ of it.

    ln_gain: float64 (3,), what turns the grey as seen into the grey as it is under D65.
    """
    return Correction(RGB_TO_XYZ * np.exp(ln_gain))


def samples_of(
    ln_gain: NDArray[np.float64], single: NDArray[np.float64], common: float
) -> Correction:
    """A stack of 64 draws of `correction_of(ln_gain)`.

    single: float64 (3,), standard deviation of each channel's ln(gain) by itself.
    common: standard deviation of ln(gain) of all channels together.
    """
    draws = gaussian_draws(4 + len(_OFF_DIAGONAL))
    gains = np.exp(ln_gain + draws[:, :3] * single + draws[:, 3:4] * common)
    mixing = np.zeros((len(draws), 3, 3))
    for column, (into, out_of) in enumerate(_OFF_DIAGONAL, 4):
        mixing[:, into, out_of] = MIXING_SD * draws[:, column]
    # Rows that sum to nothing leave a grey as it is.
    mixing[:, range(3), range(3)] = -mixing.sum(axis=2)
    return Correction(RGB_TO_XYZ @ (np.eye(3) + mixing) * gains[:, None, :])


def steady_mean(light: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean (3,) of the middle half of the pixels (n, 3), and its standard error (3,).

    The middle half forgets dust and shine as a median does, and still averages the steps of 8 bits.
    """
    ordered = np.sort(light, axis=0)
    count = len(ordered)
    middle = ordered[count // 4 : count - count // 4]
    spread = (ordered[3 * count // 4] - ordered[count // 4]) / 1.349  # of a normal distribution
    # Resizing and compression tie a pixel to its neighbours: nine count as one. Our estimate.
    return middle.mean(axis=0), spread / np.sqrt(max(count / 9, 1.0))
