"""Find the 24-patch chart in a photo, and how it lies."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tipvision.light.chart.lattice import find_lattices
from tipvision.light.chart.tiles import Tiles, find_small_tiles, find_tiles
from tipvision.light.chart.view import ChartView, view_of
from tipvision.light.chart.window import Sighting, best_window
from tipvision.light.many_colours import many_colours
from tipvision.photo.box import Box

AROUND_PART = 24  # pixels of the overview round where many colours meet: greys may lie beside them


def find_chart(overview: NDArray[np.uint8], size: tuple[int, int]) -> ChartView | None:
    """The 24-patch chart in a photo, or None where it is not found beyond doubt.

    Even tiles that stand in a grid are held against the chart's colours in every position and
    turn. A linear map from the photo's colours to the printed ones must predict each patch from
    the others; for a mirrored or turned layout it must fail clearly, and for no other order of the
    rows may it do better.

    overview: uint8 (h, w, 3), RGB encoded as sRGB, of the whole displayed photo.
    size:     (width, height) of the displayed photo, pixels.
    """
    part = many_colours(overview)
    if part is None:
        return None
    best = _best(overview, find_tiles(overview)) or _closer(overview, part)
    return None if best is None else view_of(best.homography, best.residual, overview.shape, size)


def _best(overview: NDArray[np.uint8], looks: Iterable[Tiles]) -> Sighting | None:
    """The chart among the tiles of several looks at a photo, coarse to fine."""
    seen = [
        chart
        for tiles in looks
        for lattice in find_lattices(tiles)
        if (chart := best_window(overview, lattice)) is not None
    ]
    # One chart is seen in several looks: the grid with the most tiles lies best, the finest of
    # those.
    return max(reversed(seen), key=lambda chart: chart.tiles, default=None)


def _closer(overview: NDArray[np.uint8], part: Box) -> Sighting | None:
    """A chart whose patches are small or blurred, looked for again where many colours meet."""
    height, width = overview.shape[:2]
    part = Box(
        part.x0 - AROUND_PART, part.y0 - AROUND_PART, part.x1 + AROUND_PART, part.y1 + AROUND_PART
    ).within(width, height)
    crop = np.ascontiguousarray(overview[part.y0 : part.y1, part.x0 : part.x1])
    found = _best(crop, find_small_tiles(crop))
    if found is None:
        return None
    moved = np.array([[1.0, 0.0, part.x0], [0.0, 1.0, part.y0], [0.0, 0.0, 1.0]])
    return replace(found, homography=moved @ found.homography)
