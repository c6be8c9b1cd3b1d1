"""Highlights, grain, lumps and shading of the nose, as ratios within it that no exposure moves."""

from collections.abc import Mapping

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.measure.smooth import smooth_inside
from tipvision.measure.surface import DETAIL, SHINE_FLOOR
from tipvision.quantiles import quantiles, spread
from tipvision.tip.tip import Part

LUMP = 1 / 5  # of the nose's width: blisters and crumbs are smaller, shading is coarser
TINTED_OVER = 1 / 30  # of the nose's width: finer differences of colour are noise
GLARE_SPOT = 4  # pixels; fewer are noise. Source of the three: our estimate

SIGNS = (
    "sharpest",
    "upper",
    "lower",
    "glare_spots",
    "grain",
    "grain_up",
    "grain_down",
    "lumps",
    "lumps_up",
    "lumps_down",
    "shading",
    "tints",
)


def relief_signs(
    linear: NDArray[np.float32],
    luminance: NDArray[np.float32],
    labels: NDArray[np.uint8],
    core: NDArray[np.bool_],
    across: float,
) -> Mapping[str, float]:
    """What the nose shows within itself; all but `glare_spots` in natural logarithms of light.

    sharpest, upper, lower: 99.5 % over 90 %, 90 % over the median, the median over 10 % of it.
    glare_spots:            how many spots of glare there are.
    grain:                  robust spread of detail finer than a sixteenth of the width;
                            grain_up and grain_down are how far its brightest and darkest go.
    lumps:                  the same for what is between that and a fifth of the width.
    shading:                spread of what is coarser still.
    tints:                  spread of red and blue against green between neighbouring patches.

    linear: float32 (h, w, 3), linear RGB. luminance: float32 (h, w), of it. labels: uint8 (h, w) of
    `Part`. core: bool (h, w), the nose without its rind, not empty. across: the nose's width.
    """
    ln = np.log(np.maximum(luminance, 0) + SHINE_FLOOR)
    dark, middle, upper, top = quantiles(ln[core], (0.1, 0.5, 0.9, 0.995))
    fine, coarse = (smooth_inside(ln, core, across * share) for share in (DETAIL, LUMP))
    grain, lumps = (ln - fine)[core], (fine - coarse)[core]
    spots, _, stats, _ = cv2.connectedComponentsWithStats((labels == Part.GLARE).astype(np.uint8))
    return {
        "sharpest": top - upper,
        "upper": upper - middle,
        "lower": middle - dark,
        "glare_spots": float((stats[1:spots, cv2.CC_STAT_AREA] >= GLARE_SPOT).sum()),
        **_both_ways("grain", grain),
        **_both_ways("lumps", lumps),
        "shading": float(coarse[core].std()),
        "tints": tints(linear, core, across),
    }


def tints(linear: NDArray[np.float32], part: NDArray[np.bool_], across: float) -> float:
    """Spread of ln(red / green) and ln(blue / green) over a part, noise smoothed away."""
    sigma = max(across * TINTED_OVER, 0.8)
    calm = cv2.GaussianBlur(linear, (0, 0), sigma)[part]
    red, green, blue = np.log(np.maximum(calm, 0) + SHINE_FLOOR).T
    return float(np.hypot((red - green).std(), (blue - green).std()))


def _both_ways(name: str, values: NDArray[np.float32]) -> Mapping[str, float]:
    low, middle, high = quantiles(values, (0.01, 0.5, 0.99))
    return {
        name: spread(values, middle),
        f"{name}_up": high - middle,
        f"{name}_down": middle - low,
    }
