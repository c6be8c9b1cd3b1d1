"""The light of each patch of a chart that was found, from the photo's full pixels."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.light.chart.view import PATCH_SIDE, PLACES, ChartView
from tipvision.light.homography import project
from tipvision.photo.box import Box
from tipvision.photo.photo import Window

LONGEST_WINDOW = 1200  # pixels: more says nothing new about a patch and costs time
INNER_SHARE = 0.6  # of a patch's sides: keeps off its border and its shadow; our estimate
LEAST_PIXELS = 9  # of a patch, below which its mean says little; our estimate
TIED_PIXELS = 9  # neighbours that resizing and compression make one; our estimate


@dataclass(frozen=True)
class Patches:
    """What the photo holds of the 24 patches, row by row from the top left as printed.

    light:   float64 (24, 3), nominal linear sRGB, 0 to 1, mean of the middle half of the pixels;
             NaN where too few pixels show the patch.
    sd:      float64 (24, 3), standard deviation of the pixels, of their middle part.
    error:   float64 (24, 3), standard error of `light` from the pixels' scatter alone.
    clipped: float64 (24,), share of the pixels that are clipped.
    pixels:  int (24,), how many pixels were read.
    """

    light: NDArray[np.float64]
    sd: NDArray[np.float64]
    error: NDArray[np.float64]
    clipped: NDArray[np.float64]
    pixels: NDArray[np.int_]


def chart_box(view: ChartView) -> Box:
    """The part of the displayed photo to read for this chart."""
    left, top = np.floor(view.corners.min(axis=0)).astype(int)
    right, bottom = np.ceil(view.corners.max(axis=0)).astype(int)
    return Box(int(left), int(top), int(right) + 1, int(bottom) + 1).within(*view.size)


def read_chart(window: Window, box: Box, view: ChartView) -> Patches:
    """Mean, scatter and clipping of the patches.

    Only the inner part of each patch counts, and of its pixels the middle half: dust, scratches
    and a spot of shine are forgotten as by a median, and 8-bit steps still average out.

    window: the pixels of `box`, as `Photo.window(box, LONGEST_WINDOW)` gives them.
    box:    `chart_box(view)`, displayed pixels.
    view:   where the chart lies.
    """
    height, width = window.clipped.shape
    scale = np.array([width / box.width, height / box.height])
    around = PATCH_SIDE * INNER_SHARE / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    points = (PLACES[:, None] + around).reshape(-1, 2)
    quads = ((project(view.homography, points) - (box.x0, box.y0)) * scale).reshape(-1, 4, 2)
    light, sd, error = (np.full((len(PLACES), 3), np.nan) for _ in range(3))
    clipped, pixels = np.ones(len(PLACES)), np.zeros(len(PLACES), int)
    for k, quad in enumerate(quads):
        inside, (x0, y0, x1, y1) = _inside(quad, width, height)
        seen = window.linear[y0:y1, x0:x1][inside]
        pixels[k] = count = len(seen)
        if count < LEAST_PIXELS:
            continue
        clipped[k] = window.clipped[y0:y1, x0:x1][inside].mean()
        ordered = np.sort(np.ascontiguousarray(seen.T))  # far faster than along the other axis
        quarter = count // 4
        light[k] = ordered[:, quarter : count - quarter].mean(axis=1, dtype=np.float64)
        spread = ordered[:, 3 * count // 4].astype(np.float64) - ordered[:, quarter]
        sd[k] = spread / 1.349  # of a normal distribution
        error[k] = sd[k] / np.sqrt(max(count / TIED_PIXELS, 1.0))
    return Patches(light, sd, error, clipped, pixels)


def _inside(
    quad: NDArray[np.float64], width: int, height: int
) -> tuple[NDArray[np.bool_], tuple[int, int, int, int]]:
    """Which pixels of a quad's bounding box lie in it, and that box (x0, y0, x1, y1)."""
    x0, y0 = np.clip(np.floor(quad.min(axis=0)).astype(int), 0, (width, height))
    x1, y1 = np.clip(np.ceil(quad.max(axis=0)).astype(int), 0, (width, height))
    mask = np.zeros((max(y1 - y0, 0), max(x1 - x0, 0)), np.uint8)
    if mask.size:
        shift = 4  # sixteenths of a pixel
        drawn = np.round((quad - (x0, y0) - 0.5) * 2**shift).astype(np.int32)
        cv2.fillConvexPoly(mask, drawn, 1, cv2.LINE_8, shift)
    return mask > 0, (int(x0), int(y0), int(x1), int(y1))
