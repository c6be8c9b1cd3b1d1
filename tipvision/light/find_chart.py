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
_GRID = np.arange(COLUMNS * ROWS).reshape(ROWS, COLUMNS)
_TURNED_OR_MIRRORED = (_GRID[::-1, ::-1], _GRID[:, ::-1], _GRID[::-1])
_ROWS_EXCHANGED = tuple(_GRID[list(order)] for order in permutations(range(ROWS)))
_OTHER_LAYOUTS = np.stack([*_TURNED_OR_MIRRORED, *_ROWS_EXCHANGED]).reshape(-1, COLUMNS * ROWS)
"""int (27, 24), patches in other orders, which must fit worse."""
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
_INVERSES = [np.round(np.linalg.inv(basis)).astype(int) for basis in BASES]


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


def layout_residual(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    kept: NDArray[np.bool_] | bool = True,
) -> NDArray[np.float64]:
    """How badly patches follow the printed colours under a linear map of colours.

    Each patch is predicted by the least-squares map of all the others. Dark patches count as much
    as light ones: rows are weighted by the slope of CIELAB's lightness.

    light:     float64 (..., n, 3), nominal linear RGB of the patches.
    reference: float64 (..., n, 3), XYZ of the printed patches under D65, 2° observer.
    kept:      bool (..., n), patches that count; the leading shapes of all three broadcast.
    Returns the mean CIEDE2000, float64 (...); infinity where the patches do not span three colours.
    """
    counts = np.broadcast_to(kept, np.broadcast_shapes(light.shape[:-1], reference.shape[:-1]))
    weights = reference[..., 1:2] ** (-2 / 3)
    left, right = light * weights * counts[..., None], reference * weights
    across = np.swapaxes(left, -1, -2)
    gram = across @ left
    spans = np.linalg.cond(gram) <= 1e10
    gram = np.where(spans[..., None, None], gram, np.eye(3))
    map_of = np.linalg.solve(gram, np.concatenate([across, across @ right], axis=-1))
    count = left.shape[-2]
    hat = np.einsum("...ij,...ji->...i", left, map_of[..., :count])[..., None]
    missed = right - left @ map_of[..., count:]
    predicted = reference - missed / (1.0 - np.minimum(hat, 0.99)) / weights
    apart = ciede2000(xyz_to_lab(predicted), xyz_to_lab(reference))
    mean = (apart * counts).sum(axis=-1) / np.maximum(counts.sum(axis=-1), 1)
    return np.where(spans, mean, np.inf)


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
    counts, turns = _turns(lattice)
    homographies = lattice.homography @ turns
    light, clipped, inside = _colours(overview, homographies)
    tried = np.flatnonzero(inside & (clipped.sum(axis=1) <= MOST_CLIPPED))
    if not len(tried):
        return None
    residuals = layout_residual(light[tried], reference, ~clipped[tried])
    best = int(np.argmin(residuals))
    k, residual = tried[best], float(residuals[best])
    if not residual <= MOST_RESIDUAL:
        return None
    others = layout_residual(light[k], reference[_OTHER_LAYOUTS], ~clipped[k])
    turned_or_mirrored, rows_exchanged = np.split(others, [len(_TURNED_OR_MIRRORED)])
    if turned_or_mirrored.min() < CLEARLY_WORSE * residual or rows_exchanged.min() < residual:
        return None
    return _Window(homographies[k], int(counts[k]), residual)


def _turns(lattice: Lattice) -> tuple[NDArray[np.int_], NDArray[np.float64]]:
    """Maps (t, 3, 3) from the chart's own columns and rows to those of a grid, for the windows in
    which the most tiles were seen, with the number (t,) of those."""
    found = []
    for basis, inverse in zip(BASES, _INVERSES, strict=True):
        places = lattice.places @ inverse.T
        low, high = places.min(axis=0), places.max(axis=0)
        spare = np.array([COLUMNS - 1, ROWS - 1]) - (high - low)
        first, last = np.minimum(low - spare, low), np.maximum(low - spare, low)
        across, down = (np.arange(f, n + 1) for f, n in zip(first, last, strict=True))
        x, y = places[:, 0] - across[:, None], places[:, 1] - down[:, None]
        in_column, in_row = (x >= 0) & (x < COLUMNS), (y >= 0) & (y < ROWS)
        counts = in_column.astype(int) @ in_row.T.astype(int)  # of tiles, by window
        found.append((basis, across, down, counts))
    least = max(LEAST_SEEN, max(int(counts.max()) for *_, counts in found) - FEWER_SEEN)
    seen, turns = [], []
    for basis, across, down, counts in found:
        column, row = np.nonzero(counts >= least)
        turn = np.tile(np.eye(3), (len(row), 1, 1))
        turn[:, :2, :2] = basis
        turn[:, :2, 2] = np.stack([across[column], down[row]], axis=1) @ basis.T
        turns.append(turn)
        seen.append(counts[column, row])
    return np.concatenate(seen), np.concatenate(turns)


def _colours(
    overview: NDArray[np.uint8], homographies: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.bool_], NDArray[np.bool_]]:
    """Linear RGB (t, 24, 3) of the patches of each of t windows, which of them are clipped
    (t, 24), and whether the window lies in the photo (t,); where it does not the others say
    nothing."""
    points = (PLACES[:, None] + SAMPLES).reshape(-1, 2)
    pixels = project(homographies, points)
    height, width = overview.shape[:2]
    inside = np.asarray(((pixels >= 0) & (pixels < (width, height))).all(axis=(1, 2)))
    x, y = np.moveaxis(np.where(inside[:, None, None], pixels, 0.0).astype(int), -1, 0)
    codes = overview[y, x].reshape(-1, len(PLACES), len(SAMPLES), 3)
    light = linear_table()[codes].mean(axis=2).astype(np.float64)
    return light, (codes >= CLIPPED_CODE).any(axis=3).mean(axis=2) > 0.3, inside


def _view(window: _Window, shape: tuple[int, ...], size: tuple[int, int]) -> ChartView:
    homography = np.diag([size[0] / shape[1], size[1] / shape[0], 1.0]) @ window.homography
    homography /= homography[2, 2]
    around = PATCH_SIDE / 2 * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    outer = np.array([[0, 0], [COLUMNS - 1, 0], [COLUMNS - 1, ROWS - 1], [0, ROWS - 1]])
    quads = project(homography, (PLACES[:, None] + around).reshape(-1, 2)).reshape(-1, 4, 2)
    return ChartView(homography, project(homography, outer + around), quads, window.residual, size)
