"""Even tiles in a photo: the parts that a patch of a chart may be."""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

# An edge is where the brightest channel changes by more than this within three pixels: a share of
# the brightness there, and a floor in 8-bit codes for noise. Our estimate.
EDGE_SHARE, EDGE_FLOOR = 0.10, 7
LEAST_AREA, MOST_SIDE = 12, 20  # pixels at one scale; what is larger is seen at the next
# Small or blurred tiles do not part by that rule alone. They are looked for again with edges
# sharpened: enlarged by, share of what a blur takes away that is put back, edge share. Source:
# measured on drawn charts of other seeds than `python -m pipelines.bench.charts --drawn` reports:
# of 89 that the plain rule missed these find 83, more of them nearly no more.
CLOSER_LOOKS = ((1.0, 1.0, 0.10), (1.0, 1.0, 0.07), (1.5, 2.0, 0.15))
SHARPENED = 1.5  # standard deviation of that blur, pixels before enlarging
LEAST_SMALL_AREA = 6  # pixels before enlarging
MOST_SIDES = 3.0  # longer over shorter side of the upright box around a tile; our estimate
LEAST_FILLED = 0.40  # of that box; a square on its corner fills half
SMALLEST_SIDE = 60  # pixels; a smaller photo, or reduced photo, shows no chart
MOST_TILES = 600  # of one scale; more is gravel, and is not looked at. Our estimate


@dataclass(frozen=True)
class Tiles:
    """Even parts seen at one scale.

    centres: float64 (n, 2), pixels of the overview, (0.5, 0.5) being the centre of the first.
    sides:   float64 (n,), root of the area, with the rim that the edge took, overview pixels.
    """

    centres: NDArray[np.float64]
    sides: NDArray[np.float64]


def find_tiles(overview: NDArray[np.uint8]) -> list[Tiles]:
    """The even tiles of a photo at every scale, coarse scales first.

    A tile is a connected part without an edge in it, roughly as wide as long. The photo is halved
    from scale to scale, so that tiles of every size are once between 6 and 20 pixels wide, with
    edges no wider than three pixels even where the photo is blurred.

    overview: uint8 (h, w, 3), RGB encoded as sRGB.
    """
    bright = _brightest(overview)
    found, shrink = [], 1.0
    while min(bright.shape) >= SMALLEST_SIDE:
        # halving has smoothed all scales but the first
        smooth = np.asarray(cv2.blur(bright, (3, 3)), np.uint8) if shrink == 1.0 else bright
        found.append(_tiles_of(smooth, shrink, EDGE_SHARE, LEAST_AREA))
        half = (bright.shape[1] // 2, bright.shape[0] // 2)
        bright = np.asarray(cv2.resize(bright, half, interpolation=cv2.INTER_AREA), np.uint8)
        shrink *= 2.0
    return found[::-1]


def find_small_tiles(part: NDArray[np.uint8]) -> Iterator[Tiles]:
    """The even tiles of a part of a photo that are too small or too blurred for `find_tiles`, by
    each of `CLOSER_LOOKS`.

    part: uint8 (h, w, 3), RGB encoded as sRGB; the tiles are in its pixels.
    """
    for enlarged, sharpened, share in CLOSER_LOOKS:
        picture = part
        if enlarged != 1.0:
            picture = np.asarray(
                cv2.resize(part, None, fx=enlarged, fy=enlarged, interpolation=cv2.INTER_CUBIC)
            )
        blurred = cv2.GaussianBlur(picture, (0, 0), SHARPENED * enlarged)
        sharp = cv2.addWeighted(picture, 1.0 + sharpened, blurred, -sharpened, 0.0)
        bright = _brightest(np.asarray(sharp, np.uint8))
        yield _tiles_of(bright, 1.0 / enlarged, share, round(LEAST_SMALL_AREA * enlarged**2))


def _brightest(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The brightest channel: on it even a saturated blue stands out from the black between
    patches."""
    red, green, blue = cv2.split(picture)
    return np.asarray(cv2.max(cv2.max(red, green), blue), np.uint8)


def _tiles_of(
    bright: NDArray[np.uint8], shrink: float, edge_share: float, least_area: int
) -> Tiles:
    around = np.ones((3, 3), np.uint8)
    high, low = cv2.dilate(bright, around), cv2.erode(bright, around)
    # high - low > share · high + floor, in saturating bytes
    limit = cv2.addWeighted(high, edge_share, high, 0.0, EDGE_FLOOR)
    even = cv2.compare(cv2.subtract(high, low), limit, cv2.CMP_LE)
    # The inside of what is too large goes first: counting its pixels is what costs time.
    too_large = np.ones((MOST_SIDE + 1, MOST_SIDE + 1), np.uint8)
    even = cv2.subtract(even, cv2.morphologyEx(even, cv2.MORPH_OPEN, too_large))
    # Edges are at least two pixels wide, so that eight neighbours do not leak through them.
    _, _, stats, centroids = cv2.connectedComponentsWithStatsWithAlgorithm(
        even, 8, cv2.CV_32S, cv2.CCL_BBDT
    )
    width, height, area = stats[1:, 2], stats[1:, 3], stats[1:, 4]
    kept = (area >= least_area) & (area <= MOST_SIDE**2)
    kept &= (width <= MOST_SIDES * height) & (height <= MOST_SIDES * width)
    kept &= area >= LEAST_FILLED * width * height
    if np.count_nonzero(kept) > MOST_TILES:
        return Tiles(np.empty((0, 2)), np.empty(0))
    centres = (np.asarray(centroids[1:][kept], np.float64) + 0.5) * shrink
    return Tiles(centres, (np.sqrt(area[kept].astype(np.float64)) + 2.0) * shrink)
