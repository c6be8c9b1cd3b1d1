"""The six columns and four rows of a grid of tiles whose colours are the chart's."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import linear_table
from tipvision.light.chart.editions import COLUMNS, LATEST, ROWS, edition_of
from tipvision.light.chart.lattice import Lattice
from tipvision.light.chart.layouts import MOST_RESIDUAL, layout_residual, only_as_printed
from tipvision.light.chart.view import PLACES
from tipvision.light.homography import project

CLIPPED_CODE = 252  # 8-bit code from which on a patch's colour is lost
MOST_CLIPPED = 10  # of 24 patches; with more, colours prove nothing. Our estimate
LEAST_SEEN = 10  # of 24 patches that must be tiles; the others may be as dark as the frame
FEWER_SEEN = 2  # tiles by which a window may fall behind the fullest and still be looked at
SAMPLES = np.stack(np.meshgrid([-0.2, 0.0, 0.2], [-0.2, 0.0, 0.2]), -1).reshape(-1, 2)

_QUARTERS = [np.array(m) for m in ([[1, 0], [0, 1]], [[0, -1], [1, 0]])]
_SHEARS = [np.array(m) for m in ([[1, 0], [0, 1]], [[1, 1], [0, 1]], [[1, -1], [0, 1]])]
_SHEARS += [shear.T for shear in _SHEARS[1:]]
BASES = [sign * shear @ quarter for shear in _SHEARS for quarter in _QUARTERS for sign in (1, -1)]
"""int (2, 2), columns and rows of a chart as steps of a grid. Seen at a slant a diagonal may be the
shorter step, and the grid is then built on that; no basis is mirrored."""
_INVERSES = [np.round(np.linalg.inv(basis)).astype(int) for basis in BASES]


@dataclass(frozen=True)
class Sighting:
    """A chart as seen at one scale: its pose (3, 3) in overview pixels, the number of its tiles."""

    homography: NDArray[np.float64]
    tiles: int
    residual: float


def best_window(overview: NDArray[np.uint8], lattice: Lattice) -> Sighting | None:
    """The 6 × 4 window of a grid whose colours are the chart's; None where none is.

    overview: uint8 (h, w, 3), RGB encoded as sRGB; the grid lies in its pixels.
    """
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
    fits = residual <= MOST_RESIDUAL
    if not fits or not only_as_printed(light[k], reference, ~clipped[k], residual):
        return None
    return Sighting(homographies[k], int(counts[k]), residual)


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
    seen, turns = [np.empty(0, np.int_)], [np.empty((0, 3, 3))]
    for basis, across, down, counts in found:
        column, row = np.nonzero(counts >= least)
        if not len(column):  # so with most bases
            continue
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
