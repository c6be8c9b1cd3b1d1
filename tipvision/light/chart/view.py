"""How a 24-patch chart lies in a photo."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.light.chart.editions import COLUMNS, ROWS
from tipvision.light.homography import project

PATCH_SIDE = 0.87  # of a patch over the step of the grid; our estimate, prints differ

PLACES = np.stack(np.meshgrid(np.arange(COLUMNS), np.arange(ROWS)), -1).reshape(-1, 2)
"""int (24, 2), column and row of each patch in the order of an edition."""


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


def view_of(
    homography: NDArray[np.float64],
    residual: float,
    shape: tuple[int, ...],
    size: tuple[int, int],
) -> ChartView:
    """The view of a chart that was found in an overview of that shape, with that pose in it."""
    homography = np.diag([size[0] / shape[1], size[1] / shape[0], 1.0]) @ homography
    homography /= homography[2, 2]
    around = PATCH_SIDE / 2 * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    outer = np.array([[0, 0], [COLUMNS - 1, 0], [COLUMNS - 1, ROWS - 1], [0, ROWS - 1]])
    quads = project(homography, (PLACES[:, None] + around).reshape(-1, 2)).reshape(-1, 4, 2)
    return ChartView(homography, project(homography, outer + around), quads, residual, size)
