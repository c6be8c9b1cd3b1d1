"""Find the 24-patch chart in a photo, and how it lies."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import linear_table
from tipvision.light.chart_editions import COLUMNS, LATEST, ROWS, edition_of
from tipvision.light.chart_lattice import Lattice, find_lattices
from tipvision.light.chart_tiles import Tiles, find_small_tiles, find_tiles
from tipvision.light.find_card import project
from tipvision.light.many_colours import many_colours
from tipvision.photo.box import Box

AROUND_PART = 24  # pixels of the overview round where many colours meet: greys may lie beside them
CLIPPED_CODE = 252  # 8-bit code from which on a patch's colour is lost
MOST_CLIPPED = 10  # of 24 patches; with more, colours prove nothing. Our estimate
LEAST_SEEN = 10  # of 24 patches that must be tiles; the others may be as dark as the frame
FEWER_SEEN = 2  # tiles by which a window may fall behind the fullest and still be looked at
# Mean leave-one-out CIEDE2000 between the patches and a linear fit of their colours up to which a
# grid is this chart, and by how much a wrong layout of it must be worse. Our estimate, between
# charts under a phone's tone curve and random tiles (`python -m pipelines.bench.charts`).
MOST_RESIDUAL = 18.0
CLEARLY_WORSE = 1.5
PATCH_SIDE = 0.87  # of a patch over the step of the grid; our estimate, prints differ
SAMPLES = np.stack(np.meshgrid([-0.2, 0.0, 0.2], [-0.2, 0.0, 0.2]), -1).reshape(-1, 2)

PLACES = np.stack(np.meshgrid(np.arange(COLUMNS), np.arange(ROWS)), -1).reshape(-1, 2)
"""int (24, 2), column and row of each patch in the order of an edition."""

_QUARTERS = [np.array(m) for m in ([[1, 0], [0, 1]], [[0, -1], [1, 0]])]
_SHEARS = [np.array(m) for m in ([[1, 0], [0, 1]], [[1, 1], [0, 1]], [[1, -1], [0, 1]])]
_SHEARS += [shear.T for shear in _SHEARS[1:]]
BASES = [sign * shear @ quarter for shear in _SHEARS for quarter in _QUARTERS for sign in (1, -1)]
"""int (2, 2), columns and rows of a chart as steps of a grid. Seen at a slant a diagonal may be the
shorter step, and the grid is then built on that; no basis is mirrored."""


@dataclass(frozen=True)
class ChartView:
    """The chart as it lies in a photo.

    Pixels are counted from the outer corner of the top left pixel, as in `photo.box.Box`.

    homography: float64 (3, 3), from (column, row, 1) to displayed pixels: patch centres at whole
                numbers, (0, 0) the top left patch as printed (dark skin), (5, 3) the black one.
    corners:    float64 (4, 2), displayed pixels: outer corners of the block of patches, top left,
                top right, bottom right, bottom left as printed.
    quads:      float64 (24, 4, 2), displayed pixels: each patch's corners in the same order.
    residual:   mean leave-one-out CIEDE2000 of a linear fit of the patches' colours.
    size:       (width, height) of the displayed photo.
    """

    homography: NDArray[np.float64]
    corners: NDArray[np.float64]
    quads: NDArray[np.float64]
    residual: float
    size: tuple[int, int]


@dataclass(frozen=True)
class _Window:
    """A chart as seen at one scale: its pose (3, 3) in overview pixels, the number of its tiles."""

    homography: NDArray[np.float64]
    tiles: int
    residual: float


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
    return None if best is None else _view(best, overview.shape, size)


def layout_residual(light: NDArray[np.float64], reference: NDArray[np.float64]) -> float:
    """How badly patches follow the printed colours under a linear map of colours.

    Each patch is predicted by the least-squares map of all the others. Dark patches count as much
    as light ones: rows are weighted by the slope of CIELAB's lightness.

    light:     float64 (n, 3), nominal linear RGB of the patches.
    reference: float64 (n, 3), XYZ of the printed patches under D65, 2° observer.
    Returns the mean CIEDE2000; infinity where the patches do not span three colours.
    """
    weights = reference[:, 1:2] ** (-2 / 3)
    left, right = light * weights, reference * weights
    gram = left.T @ left
    if np.linalg.cond(gram) > 1e10:
        return float("inf")
    hat = np.einsum("ij,ij->i", left @ np.linalg.inv(gram), left)[:, None]
    missed = right - left @ np.linalg.solve(gram, left.T @ right)
    predicted = reference - missed / (1.0 - np.minimum(hat, 0.99)) / weights
    return float(ciede2000(xyz_to_lab(predicted), xyz_to_lab(reference)).mean())


def _best(overview: NDArray[np.uint8], looks: Iterable[Tiles]) -> _Window | None:
    """The chart among the tiles of several looks at a photo, coarse to fine."""
    seen = [
        chart
        for tiles in looks
        for lattice in find_lattices(tiles)
        if (chart := _best_window(overview, lattice)) is not None
    ]
    # One chart is seen in several looks: the grid with the most tiles lies best, the finest of
    # those.
    return max(reversed(seen), key=lambda chart: chart.tiles, default=None)


def _closer(overview: NDArray[np.uint8], part: Box) -> _Window | None:
    """A chart whose patches are small or blurred, looked for again where many colours meet."""
    height, width = overview.shape[:2]
    part = Box(
        part.x0 - AROUND_PART, part.y0 - AROUND_PART, part.x1 + AROUND_PART, part.y1 + AROUND_PART
    ).within(width, height)
    crop = np.ascontiguousarray(overview[part.y0 : part.y1, part.x0 : part.x1])
    window = _best(crop, find_small_tiles(crop))
    if window is None:
        return None
    moved = np.array([[1.0, 0.0, part.x0], [0.0, 1.0, part.y0], [0.0, 0.0, 1.0]])
    return replace(window, homography=moved @ window.homography)


def _best_window(overview: NDArray[np.uint8], lattice: Lattice) -> _Window | None:
    """The 6 × 4 window of a grid whose colours are the chart's; None where none is."""
    reference = edition_of(LATEST).xyz
    best: tuple[_Window, NDArray[np.float64], NDArray[np.bool_]] | None = None
    for tiles, turn in _turns(lattice):
        homography = lattice.homography @ turn
        light, clipped = _colours(overview, homography)
        if light is None or clipped.sum() > MOST_CLIPPED:
            continue
        residual = layout_residual(light[~clipped], reference[~clipped])
        if best is None or residual < best[0].residual:
            best = _Window(homography, tiles, residual), light, ~clipped
    if best is None or best[0].residual > MOST_RESIDUAL:
        return None
    window, light, kept = best

    def residual_of(other: NDArray[np.int_]) -> float:
        return layout_residual(light[kept], reference[other.ravel()][kept])

    grid = np.arange(len(reference)).reshape(ROWS, COLUMNS)
    turned_or_mirrored = (grid[::-1, ::-1], grid[:, ::-1], grid[::-1])
    if min(map(residual_of, turned_or_mirrored)) < CLEARLY_WORSE * window.residual:
        return None
    rows_exchanged = (grid[list(order)] for order in permutations(range(ROWS)))
    return window if min(map(residual_of, rows_exchanged)) >= window.residual else None


def _turns(lattice: Lattice) -> list[tuple[int, NDArray[np.float64]]]:
    """Maps (3, 3) from the chart's own columns and rows to those of a grid, for the windows in
    which the most tiles were seen, with the number of those."""
    ranked = []
    for basis in BASES:
        inverse = np.round(np.linalg.inv(basis)).astype(int)
        places = lattice.places @ inverse.T
        low, high = places.min(axis=0), places.max(axis=0)
        spare = np.array([COLUMNS - 1, ROWS - 1]) - (high - low)
        first, last = np.minimum(low - spare, low), np.maximum(low - spare, low)
        for x in range(first[0], last[0] + 1):
            for y in range(first[1], last[1] + 1):
                moved = places - (x, y)
                inside = ((moved >= 0) & (moved < (COLUMNS, ROWS))).all(axis=1)
                turn = np.eye(3)
                turn[:2, :2], turn[:2, 2] = basis, basis @ (x, y)
                ranked.append((int(inside.sum()), turn))
    most = max(count for count, _ in ranked)
    least = max(LEAST_SEEN, most - FEWER_SEEN)
    return [(count, turn) for count, turn in ranked if count >= least]


def _colours(
    overview: NDArray[np.uint8], homography: NDArray[np.float64]
) -> tuple[NDArray[np.float64] | None, NDArray[np.bool_]]:
    """Linear RGB (24, 3) of the patches, and which are clipped; None if one is out of the photo."""
    points = (PLACES[:, None] + SAMPLES).reshape(-1, 2).astype(np.float64)
    pixels = project(homography, points)
    height, width = overview.shape[:2]
    if not ((pixels >= 0) & (pixels < (width, height))).all():
        return None, np.zeros(len(PLACES), bool)
    x, y = pixels.astype(int).T
    codes = overview[y, x].reshape(len(PLACES), len(SAMPLES), 3)
    light = linear_table()[codes].mean(axis=1).astype(np.float64)
    return light, (codes >= CLIPPED_CODE).any(axis=2).mean(axis=1) > 0.3


def _view(window: _Window, shape: tuple[int, ...], size: tuple[int, int]) -> ChartView:
    homography = np.diag([size[0] / shape[1], size[1] / shape[0], 1.0]) @ window.homography
    homography /= homography[2, 2]
    around = PATCH_SIDE / 2 * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    outer = np.array([[0, 0], [COLUMNS - 1, 0], [COLUMNS - 1, ROWS - 1], [0, ROWS - 1]])
    quads = project(homography, (PLACES[:, None] + around).reshape(-1, 2)).reshape(-1, 4, 2)
    return ChartView(homography, project(homography, outer + around), quads, window.residual, size)
