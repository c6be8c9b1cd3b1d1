"""What the surface of the nose looks like: shine, texture, specks. All on relative lightness.

The measures compare the nose with itself, so an unknown lamp or exposure moves them little.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.measure.smooth import smooth_inside
from tipvision.quantiles import quantiles, spread

DETAIL = 1 / 16  # of the nose's width: finer is texture, coarser is shading (our estimate)
SPECK = 1 / 9  # of the nose's width: a spot up to this wide can be a speck (our estimate)
SPECK_DEPTH = 9.0  # L* units that a speck is darker than what is around it (our estimate)
CALMED_FROM = 80.0  # pixels across: a nose from this on is calmed by 5 x 5 medians, else by 3 x 3
SPECK_OVER_GRAIN = 5.0  # a speck is so many times deeper than what grain is left (our estimate)
SHINE_FLOOR = 0.004  # linear light added to both sides of the ratio, so that sensor noise on soot
# does not pass for shine (our estimate)


def shine(luminance: NDArray[np.float32], nose: NDArray[np.bool_]) -> float:
    """How much brighter the brightest percent of the nose is than its median, a ratio ≥ 1.

    luminance: float32 (h, w), relative linear light; glare belongs in it. nose: bool (h, w).
    """
    top, middle = quantiles(luminance[nose], (0.99, 0.5))
    return (top + SHINE_FLOOR) / (middle + SHINE_FLOOR)


def texture(lightness: NDArray[np.float32], nose: NDArray[np.bool_], nose_px: float) -> float:
    """Robust spread of fine detail in L* units.

    lightness: float32 (h, w), L*. nose: bool (h, w). nose_px: width of the nose in these pixels.
    """
    return spread((lightness - smooth_inside(lightness, nose, nose_px * DETAIL))[nose])


def specks(lightness: NDArray[np.float32], nose: NDArray[np.bool_], nose_px: float) -> float:
    """Share of the nose covered by small dark spots, 0 to 1. Arguments as for `texture`.

    Spots at the outline of the nose are left out: they may be its surroundings.
    """
    width = max(3, round(nose_px * SPECK) | 1)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (width, width))
    around = smooth_inside(lightness, nose, nose_px * SPECK)  # no step at the outline: none is dark
    filled = np.where(nose, lightness, around).astype(np.float32)
    calm = cv2.medianBlur(filled, 5 if nose_px >= CALMED_FROM else 3)  # grain goes, edges stay
    depth = cv2.morphologyEx(calm, cv2.MORPH_BLACKHAT, kernel)
    inner = cv2.erode(nose.astype(np.uint8), np.ones((3, 3), np.uint8), borderValue=0) > 0
    inside = depth[inner]
    if inside.size == 0 or inside.max() <= SPECK_DEPTH:
        return 0.0
    grain = texture(np.asarray(calm, np.float32), nose, nose_px)
    return float((inside > max(SPECK_DEPTH, SPECK_OVER_GRAIN * grain)).mean())
