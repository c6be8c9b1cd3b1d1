"""Where a photo shows many colours close together, as a 24-patch chart does and a bench does not.

It costs a millisecond, and what costs more is done only where something comes of it.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.light.smaller import Picture, blocks
from tipvision.photo.box import Box

# Pixels of the overview to a cell, for small charts and for large ones: colours last, texture and
# noise average out.
CELLS = (4, 16)  # each a multiple of the one before
WINDOW = 9  # cells: some patches of a chart
LIFT = 15  # 8-bit codes added before the logarithm, so that noise in the dark counts for little
# Area of the colours' spread, (ln red/green) by (ln blue/green), from which on they are many. Our
# estimate: on 576 photos of look tune charts, blurred ones as well, have 0.012 and more, and
# 99 in 100 photos without one less than this.
LEAST_SPREAD = 0.002
_LN = np.log(np.arange(256) + float(LIFT)).astype(np.float32)


def many_colours(overview: NDArray[np.uint8]) -> Box | None:
    """The part of a photo around all places where many colours meet, or None without one.

    What counts is the determinant of the covariance of (ln red/green, ln blue/green) within a
    window. A lamp or a white balance multiplies the channels and leaves it as it is; one colour in
    light and shadow, or two colours alone, have nearly none.

    overview: uint8 (h, w, 3), RGB encoded as sRGB.
    Returns pixels of the overview.
    """
    per_cell = CELLS[0] // 2  # halved first: blocks of 2 are far quicker than larger ones
    reduced, places = blocks(overview, per_cell), []
    for cell in CELLS:
        reduced = blocks(reduced, cell // per_cell)
        per_cell = cell
        rows, columns = _places(reduced)
        places.append(cell * np.column_stack([columns, columns + 1, rows, rows + 1]))
    x0, x1, y0, y1 = np.concatenate(places).T
    if not len(x0):
        return None
    height, width = overview.shape[:2]
    return Box(int(x0.min()), int(y0.min()), int(x1.max()), int(y1.max())).within(width, height)


def _places(reduced: Picture) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Rows and columns of the cells round which colours are many. reduced: uint8 (rows, columns,
    3), a cell a pixel."""
    red, green, blue = cv2.split(cv2.LUT(reduced, _LN))
    u, v = red - green, blue - green
    mean_u, mean_v = _mean(u), _mean(v)
    spread = (_mean(u * u) - mean_u**2) * (_mean(v * v) - mean_v**2)
    spread -= (_mean(u * v) - mean_u * mean_v) ** 2
    rows, columns = np.nonzero(spread >= LEAST_SPREAD)
    return rows, columns


def _mean(values: NDArray[np.float32]) -> NDArray[np.float32]:
    """Over the window around each cell."""
    return np.asarray(
        cv2.boxFilter(values, -1, (WINDOW, WINDOW), borderType=cv2.BORDER_REFLECT), np.float32
    )
