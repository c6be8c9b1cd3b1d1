"""Noise reduction as phones do it: grain is smeared, edges stay.

The grain in a render is that of few paths a pixel. It is taken out in the render's own pixels,
before the lens; what a phone's own smoothing leaves of a sensor's noise is added afterwards.
"""

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array

STEPS = ((0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (1, -2), (2, 1), (2, -1))
"""Rows down and columns right to the pixels that a pixel is averaged with, and the opposite way."""
HALO = 3
"""Rows beside a band of the picture that its pixels look at."""
STRAY = 3.0, 8.0
"""Times the median of the 3×3 pixels about it: what of one pixel is over the first is spread over
its neighbours, and what is over the second is a stray path's and dropped."""
FAINT = 2e-3
"""Of the picture's brightest: darker pixels are never strays."""
HUE = 2.0
"""How much a difference between red and blue counts beside one in lightness: grain has little."""
BAND = 32
"""Rows at a time: few enough to stay in the processor's cache."""
KEPT = 2.0
"""Pixels (sd) over which the light stays the same on average."""

LEAST_GRAIN = 1e-6
"""Of square roots of light: a black picture has none, and is divided by it."""

_LUMA = np.array([0.25, 0.5, 0.25], np.float32)
_RING = np.array([[1, 1, 1], [1, 0, 1], [1, 1, 1]], np.uint8)

Picture = npt.NDArray[np.float32]
Window = tuple[slice, slice]


def smoothed(raw: Array, strength: float) -> Array:
    """Linear raw values (height, width, 3) with less grain; `strength` 0 (none) to 1.

    Non-local means (from memory, unchecked): each pixel becomes the mean of those about it whose
    surroundings look like its own. How like is judged on square roots, against the grain found
    there; what is averaged is light itself. Single bright pixels are cut first (`without_strays`).
    """
    if strength <= 0:
        return raw
    calm, light = without_strays(np.asarray(raw, np.float32))
    roots = np.sqrt(np.maximum(calm, 0.0))
    guide = np.asarray(roots @ _LUMA)
    hue = HUE * (roots[..., 0] - roots[..., 2])
    told = (-0.25 / strength) / grain(guide)
    out = np.empty_like(calm)
    for top in range(0, len(calm), BAND):
        above = min(top, HALO)
        rows = slice(top - above, top + BAND + HALO)
        means = _means(calm[rows], guide[rows], hue[rows], told[rows], 1.0 / strength)
        out[top : top + BAND] = means[above : above + BAND]
    # Given back as a share of what is there: added, the bright side's would leak over an edge.
    before, after = (cv2.GaussianBlur(each, (0, 0), KEPT) for each in (light, out))
    return np.asarray(out * (before / np.maximum(after, 1e-9)))


def _means(light: Picture, guide: Picture, hue: Picture, told: Picture, most: float) -> Picture:
    """Non-local means of a band of the picture; `told` (height, width) times the squared difference
    of two pixels' surroundings is the logarithm of their likeness, over `most`."""
    planes = [np.ascontiguousarray(light[..., k]) for k in range(3)]
    sums = [plane.copy() for plane in planes]
    weight = np.ones_like(guide)
    for down, right in STEPS:
        here, there = _pair(guide.shape, down, right)
        step, other = guide[here] - guide[there], hue[here] - hue[there]
        unlike = np.asarray(cv2.blur(step * step + other * other, (3, 3)))
        # Of one surface two pixels differ by twice its grain: only what is beyond that counts.
        alike = np.exp(np.minimum(unlike * (told[here] + told[there]) + most, 0.0))
        # The same weight both ways: no surface gains light at another's cost.
        weight[here] += alike
        weight[there] += alike
        for total, plane in zip(sums, planes, strict=True):
            total[here] += alike * plane[there]
            total[there] += alike * plane[here]
    return np.stack([total / weight for total in sums], -1)


def without_strays(light: Picture) -> tuple[Picture, Picture]:
    """The picture (height, width, 3) with pixels far above those about them brought down, hue kept:
    from over the first limit of `STRAY` to the brightest neighbour, if that is less, and from over
    the second to that limit."""
    lum = np.asarray(light @ _LUMA, np.float32)
    usual = cv2.medianBlur(lum, 3) + FAINT * float(lum.max())
    most = STRAY[0] * usual
    calm = np.where(lum > most, np.minimum(cv2.dilate(lum, _RING), most), lum)
    known = np.minimum(lum, STRAY[1] * usual)
    below = 1.0 / np.maximum(lum, 1e-12)
    return light * (calm * below)[..., None], light * (known * below)[..., None]


def grain(guide: Picture) -> Picture:
    """Variance (height, width) of the grain about each pixel of a picture (height, width).

    What a median of 3×3 takes away is grain or finest texture: edges pass it.
    """
    taken = cv2.blur(np.abs(guide - cv2.medianBlur(guide, 3)), (9, 9))
    least = max(0.004 * float(guide.max()), LEAST_GRAIN)
    # Of normal grain the median takes a mean of 0.73 standard deviations (see the tests).
    return np.asarray(np.maximum(taken / 0.73, least) ** 2, np.float32)


def _pair(shape: tuple[int, ...], down: int, right: int) -> tuple[Window, Window]:
    """Where a pixel and the one so many steps from it lie, for all pixels that have one."""
    height, width = shape
    first, second = max(0, -right), max(0, right)
    return (
        (slice(0, height - down), slice(first, width - second)),
        (slice(down, height), slice(second, width - first)),
    )
