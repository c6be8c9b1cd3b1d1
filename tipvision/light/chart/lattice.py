"""Tiles that stand in the rows and columns of one flat grid, seen in perspective."""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.light.chart.tiles import Tiles
from tipvision.light.homography import project

LEAST_TILES, MOST_TILES = 9, 60  # of a grid; larger ones are keyboards and floors. Our estimate
MOST_GROWN = 10  # grids grown at one scale before the search is given up; our estimate
# Neighbours in a grid: sizes alike, and a step that suits the size, from a chart seen straight on
# to one tilted by 60 degrees. Our estimate.
LIKE_SIDES = 1.6
LEAST_STEP, MOST_STEP = 0.8, 2.1  # of the mean side
MOST_LENGTHS = 2.6  # longer step over shorter step
LEAST_SINE = 0.45  # of the angle between the steps
MISS = 0.35  # of a step, by which a neighbour may lie beside its place
# Of a step, by which a tile may lie beside the fitted grid without being held against the others,
# how many times their median is too much, and what is no grid. Our estimate.
OFF_GRID, LEANING, LARGEST_OFF = 0.03, 3.0, 0.20


@dataclass(frozen=True)
class Lattice:
    """A grid of tiles.

    homography: float64 (3, 3), from (column, row, 1) to overview pixels, tile centres at whole
                numbers; columns to rows turn as x to y do (never mirrored).
    places:     int (n, 2), column and row of each tile that was seen.
    """

    homography: NDArray[np.float64]
    places: NDArray[np.int_]


def find_lattices(tiles: Tiles) -> Iterator[Lattice]:
    """Every grid of `LEAST_TILES` to `MOST_TILES` tiles among the tiles of one scale."""
    if len(tiles.sides) < LEAST_TILES:
        return
    near = _neighbours(tiles)
    degrees = near.sum(axis=1)
    if (degrees >= 2).sum() < LEAST_TILES:
        return
    left = degrees >= 2
    for _ in range(MOST_GROWN):
        if left.sum() < LEAST_TILES:
            return
        seed = int(np.argmax(np.where(left, degrees, -1)))
        left[seed] = False
        steps = _steps_at(tiles.centres, near, seed)
        if steps is None:
            continue
        grown = _grow(tiles.centres, near, seed, steps)
        members = np.array(list(grown.values()))
        left[members] = False
        if not LEAST_TILES <= len(grown) <= MOST_TILES:
            continue
        lattice = _fit(tiles, np.array(list(grown)), members)
        if lattice is not None:
            yield lattice


def _neighbours(tiles: Tiles) -> NDArray[np.bool_]:
    """bool (n, n): whether two tiles may stand side by side in a grid."""
    x, y = tiles.centres.T.astype(np.float32)
    sides = tiles.sides.astype(np.float32)
    squared = (x[:, None] - x) ** 2 + (y[:, None] - y) ** 2
    mean = (sides[:, None] + sides) / 2
    ratio = sides[:, None] / sides
    near: NDArray[np.bool_] = (squared >= (LEAST_STEP * mean) ** 2) & (
        squared <= (MOST_STEP * mean) ** 2
    )
    near &= (ratio <= LIKE_SIDES) & (ratio >= 1 / LIKE_SIDES)
    return near


def _steps_at(
    centres: NDArray[np.float64], near: NDArray[np.bool_], seed: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Two steps (2,) to neighbours of a tile, the second a right-hand turn from the first."""
    steps = centres[near[seed]] - centres[seed]
    lengths = np.linalg.norm(steps, axis=1)
    order = np.argsort(lengths)
    first = steps[order[0]]
    cross = first[0] * steps[:, 1] - first[1] * steps[:, 0]
    sines = np.abs(cross) / (lengths * lengths[order[0]])
    for k in order[1:]:
        if sines[k] >= LEAST_SINE and lengths[k] <= MOST_LENGTHS * lengths[order[0]]:
            return first, steps[k] * np.sign(cross[k])
    return None


def _grow(
    centres: NDArray[np.float64],
    near: NDArray[np.bool_],
    seed: int,
    steps: tuple[NDArray[np.float64], NDArray[np.float64]],
) -> dict[tuple[int, int], int]:
    """Tiles by (column, row), reached from the seed step by step; steps follow the perspective."""
    found = {(0, 0): seed}
    taken = {seed}
    edge = [((0, 0), steps)]
    while edge:
        (column, row), (across, down) = edge.pop(0)
        here = found[column, row]
        around = np.flatnonzero(near[here])
        reach = MISS * min(np.hypot(*across), np.hypot(*down))
        for d_column, d_row in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            place = (column + d_column, row + d_row)
            if place in found:
                continue
            step = d_column * across + d_row * down
            off = np.hypot(*(centres[around] - centres[here] - step).T)
            best = int(np.argmin(off)) if len(off) else -1
            if best < 0 or off[best] > reach or int(around[best]) in taken:
                continue
            tile = int(around[best])
            found[place] = tile
            taken.add(tile)
            moved = (centres[tile] - centres[here]) * (d_column + d_row)
            edge.append((place, (moved, down) if d_column else (across, moved)))
    return found


def _fit(tiles: Tiles, places: NDArray[np.int_], members: NDArray[np.int_]) -> Lattice | None:
    """The grid through these tiles. What lies off it is dropped twice: once what is no part of it,
    once what leans to a side, such as a black patch that has run into its black frame."""
    for _ in range(3):
        grid, seen = places.astype(np.float64), tiles.centres[members]
        if len(grid) < LEAST_TILES or np.ptp(places, axis=0).min() < 1:
            return None
        found, _ = cv2.findHomography(grid, seen, 0)
        if found is None:
            return None
        homography = np.asarray(found, np.float64)
        back = np.asarray(np.linalg.inv(homography), np.float64)
        off = np.abs(project(back, seen) - grid).max(axis=1)
        kept = off <= max(OFF_GRID, LEANING * float(np.median(off)))
        if kept.all():
            break
        places, members = places[kept], members[kept]
    return Lattice(homography, places) if off.max() <= LARGEST_OFF else None
