"""Doubt about cast and exposure, as samples of a correction."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.light.draws import gaussian_draws

# A phone exposes for the whole frame, so a nose of one and the same colour comes out anywhere
# within about a stop and a half either way, also after `estimate` has looked at the brightest
# things. Standard deviation of ln(exposure). Source: measured:
# python -m pipelines.bench.light_simulation, on the lamps and benches that it does not judge.
EXPOSURE_SD = 0.50


def doubtful(correction: NDArray[np.float64], cast_sd: float, exposure_sd: float) -> Correction:
    """A correction with doubt in its cast and exposure.

    Red and blue are off against green, and all three together are off, each by a log-normal factor
    with median 1.

    correction:  float64 (3, 3), from nominal linear sRGB to XYZ.
    cast_sd:     standard deviation of ln(red / green) and of ln(blue / green).
    exposure_sd: standard deviation of ln(exposure).
    Returns a stack of 64.
    """
    red, blue, exposure = gaussian_draws(3).T * np.array([[cast_sd], [cast_sd], [exposure_sd]])
    gains = np.exp(np.stack([red, np.zeros_like(red), blue], axis=1) + exposure[:, None])
    return Correction(correction[None] * gains[:, None, :])


def recast(samples: Correction, ln_gains: NDArray[np.float64]) -> Correction:
    """A stack of corrections whose colours, as linear sRGB, are off by further factors.

    ln_gains: float64 (n, 3), logarithms of the factors of red, green and blue, a row for each draw.
    """
    gains = np.exp(ln_gains)[:, :, None]
    further = RGB_TO_XYZ @ (gains * np.linalg.inv(RGB_TO_XYZ))
    return replace(samples, matrix=further @ samples.matrix)
