"""The nose beside the metal and what lies round it, and that metal, as ratios within one photo.

How much light arrives at the nose stays uncertain by a factor whatever is known of the lamp. What
is beside it gets some of the same light: white ceramic is brighter than the metal round it, soot
is not brighter than sooty metal.
"""

from collections.abc import Mapping

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.measure.surface import SHINE_FLOOR
from tipvision.quantiles import channel_medians, quantiles, spread
from tipvision.tip.tip import Part

LEAST_PIXELS = 20  # of a part, below which it says nothing (our estimate)
METALS = {"shell": Part.SHELL, "strap": Part.STRAP, "electrode": Part.ELECTRODE}
PAIRS = (("shell", "ground"), ("strap", "shell"), ("electrode", "strap"))
SPARKLE = 0.7  # ln of light over that round it, from which a pixel is a glint (our estimate)
MOST_PIXELS = 1500  # of a part, about: enough for a quantile
_IS_METAL = np.isin(np.arange(256), list(METALS.values()))  # by the value of a label

Mask = NDArray[np.bool_]


def metal_in(labels: NDArray[np.uint8]) -> Mask:
    """bool (h, w), shell, strap and electrode together."""
    return np.asarray(_IS_METAL[labels])


def beside_signs(
    linear: NDArray[np.float32],
    luminance: NDArray[np.float32],
    labels: NDArray[np.uint8],
    core: Mask,
    across: float,
) -> Mapping[str, float]:
    """Natural logarithms of ratios of light; what does not show is absent.

    nose_to_PART:   median of the nose over that of shell, strap, electrode or ground.
    best_to_metal:  the best lit tenth of the nose over that of the metal.
    nose_to_brightest, nose_to_darkest: its median over the brightest and the darkest fiftieth of
                    the window; the depth of the bore is as dark as anything gets.
    sparkle, PART_sparkle: share of its pixels that stand out as glints.
    redder_PART, bluer_PART: red and blue against green, of the nose over those of the part.
    PART_glint:     the part's brightest percent over its median.
    PART_grain:     robust spread of its fine detail.
    shell_to_ground, strap_to_shell, electrode_to_strap, metal_to_brightest: of medians, as above.
    strap_fill, electrode_fill: share of the smallest rectangle round it that the part fills; square
                    ends fill more of it than round ones.
    electrode_size: the electrode's area over the square of the nose's width.

    Arguments as for `relief.relief_signs`; everything in `labels` that is no part is the ground.
    """
    ln = np.log(np.maximum(luminance, 0) + SHINE_FLOOR)
    detail = np.asarray(ln - cv2.blur(ln, (max(3, round(across / 8) | 1),) * 2), np.float32)
    at = np.unravel_index(np.flatnonzero(core), core.shape)
    own, own_tint = ln[at], _tint(linear[at])
    middle, best = quantiles(own, (0.5, 0.9))
    darkest, brightest = quantiles(np.ravel(ln[::2, ::2]), (0.02, 0.98))
    signs = {
        "nose_to_brightest": middle - brightest,
        "nose_to_darkest": middle - darkest,
        "sparkle": float((detail[at] > SPARKLE).mean()),
    }
    medians: dict[str, float] = {}
    for name, value in {**METALS, "ground": Part.NOTHING}.items():
        part = some_of(labels == value)
        if part[0].size < LEAST_PIXELS:
            continue
        medians[name], top = quantiles(ln[part], (0.5, 0.99))
        signs[f"nose_to_{name}"] = middle - medians[name]
        if name == "ground":
            continue
        tint = own_tint - _tint(linear[part])
        signs[f"redder_{name}"], signs[f"bluer_{name}"] = tint.tolist()
        signs[f"{name}_glint"] = top - medians[name]
        fine = detail[part]
        signs[f"{name}_grain"] = spread(fine)
        signs[f"{name}_sparkle"] = float((fine > SPARKLE).mean())
    metal = some_of(metal_in(labels))
    if metal[0].size >= LEAST_PIXELS:
        half, lit = quantiles(ln[metal], (0.5, 0.9))
        signs["best_to_metal"] = best - lit
        signs["metal_to_brightest"] = half - brightest
    for one, other in PAIRS:
        if {one, other} <= set(medians):
            signs[f"{one}_to_{other}"] = medians[one] - medians[other]
    return {**signs, **_form(labels, across)}


def some_of(part: Mask) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows and columns of the part's pixels, thinned out to fewer than twice `MOST_PIXELS`."""
    pixels = np.flatnonzero(part)
    y, x = np.divmod(pixels[:: max(1, pixels.size // MOST_PIXELS)], part.shape[1])
    return y, x


def _tint(pixels: NDArray[np.float32]) -> NDArray[np.float64]:
    """ln(red / green) and ln(blue / green) of the median of pixels (n, 3)."""
    red, green, blue = np.log(np.maximum(channel_medians(pixels), 0) + SHINE_FLOOR)
    return np.array([red - green, blue - green])


def _form(labels: NDArray[np.uint8], across: float) -> Mapping[str, float]:
    signs = {}
    for name in ("strap", "electrode"):
        mask = (labels == METALS[name]).astype(np.uint8)
        rings, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        largest = max(rings, key=cv2.contourArea, default=None)
        if largest is None or cv2.contourArea(largest) < LEAST_PIXELS:
            continue
        _, (width, height), _ = cv2.minAreaRect(largest)
        signs[f"{name}_fill"] = float(cv2.contourArea(largest) / max(width * height, 1.0))
        if name == "electrode":
            signs["electrode_size"] = float(np.log(cv2.contourArea(largest) / across**2))
    return signs
