"""The light of a photo, as the correction it asks for and the doubt in it."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.chromaticity import D65_WHITE
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.record.reason import Reason

MID_GREY = 0.18  # reflectance whose spread in Lab tells the doubt that comes from the light alone
SETTLED = 1e-6  # of a channel: a fixed point that moves less is there
_XYZ_TO_RGB = np.linalg.inv(RGB_TO_XYZ)


@dataclass(frozen=True)
class Light:
    """What is known of the light a photo was taken under.

    source:     "chart", "bench_card", "grey_card", "stored:NAME", "declared:NAME" or "estimate".
    correction: from nominal linear sRGB as the camera stored it (0 to 1) to CIE XYZ under D65,
                2° observer, Y of a perfect white = 1; the best single guess, at the reference
                itself where there is one.
    samples:    a stack of n ≤ 64 draws of `correction` that carry the doubt in the light: colour
                cast and exposure together, again at the reference. What the nose's place in its
                bore adds to that is `at_the_nose.at_the_nose`.
    cct_k:      correlated colour temperature of the lamp in kelvin, where it is known.
    card_corners: float64 (4, 2), the bench card's corners in displayed pixels (top left, top right,
                bottom right, bottom left of the card), where it was found.
    px_per_mm:  scale at the bench card's plane, where it was found.
    residual:   mean leave-one-out CIEDE2000 of the chart's patches, where a chart tells the light.
    level_known: whether lightness was measured, too: False where only the camera's own exposure
                tells how light the nose is.
    notes:      sentences about this light that a person should read but that gate nothing.
    reasons:    what speaks against trusting this light.
    """

    source: str
    correction: Correction
    samples: Correction
    cct_k: float | None = None
    card_corners: NDArray[np.float64] | None = None
    px_per_mm: float | None = None
    residual: float | None = None
    level_known: bool = False
    notes: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = field(default=())


def grey_sd(light: Light) -> NDArray[np.float64]:
    """CIELAB standard deviation of an 18 % grey at the reference over the samples, float64 (3,)."""
    grey = _as_rgb(MID_GREY * D65_WHITE)
    rgb = np.full(3, MID_GREY)
    exponent = light.correction.tone[0]  # by that power what is corrected follows what was seen
    for _ in range(40):  # what the camera saw of it: the correction backwards, by fixed point
        off = np.clip(grey / _as_rgb(light.correction.xyz(rgb)), 0.1, 10.0)
        rgb = rgb * off ** (1.0 / exponent)
        if np.abs(off - 1.0).max() < SETTLED:
            break
    spread: NDArray[np.float64] = xyz_to_lab(light.samples.xyz(rgb)).std(axis=0)
    return spread


def _as_rgb(xyz: NDArray[np.float64]) -> NDArray[np.float64]:
    """Linear sRGB of XYZ, kept above zero."""
    rgb: NDArray[np.float64] = np.maximum(_XYZ_TO_RGB @ xyz, 1e-6)
    return rgb
