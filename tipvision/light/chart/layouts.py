"""Whether patches stand in the chart's order, and in no other."""

from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart.editions import COLUMNS, ROWS

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


def only_as_printed(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    kept: NDArray[np.bool_],
    residual: float,
) -> bool:
    """Whether patches whose `layout_residual` is `residual` fit clearly worse turned round or
    mirrored, and no better with their rows in another order; arguments as there, of one chart."""
    others = layout_residual(light, reference[_OTHER_LAYOUTS], kept)
    turned_or_mirrored, rows_exchanged = np.split(others, [len(_TURNED_OR_MIRRORED)])
    clearly = turned_or_mirrored.min() >= CLEARLY_WORSE * residual
    return bool(clearly and rows_exchanged.min() >= residual)


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
