"""The grey card that a person points at in a photo."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import linear_table
from tipvision.light.grey_card import GreyView

# All our estimate.
LEAST_HALF = 6.0  # pixels of the overview: half the side of the square that must fit
NEARBY = 0.2  # of the photo's longer side: how far from the point the card's middle may lie
POINTED_STEP = 0.18  # |ln| within which pixels belong to the sheet a person points at


def grey_around(
    overview: NDArray[np.uint8], size: tuple[int, int], point: tuple[float, float]
) -> GreyView | None:
    """A square on the sheet that a person points at, as large as fits; None where nothing even is
    there.

    point: x, y in displayed pixels, inside the photo.
    """
    height, width = overview.shape[:2]
    scale = np.array([width / size[0], height / size[1]])
    x, y = (int(v) for v in np.minimum(np.array(point) * scale, (width - 1, height - 1)))
    smooth = cv2.medianBlur(overview, 5)
    light = np.log(np.maximum(linear_table()[smooth], 1e-3))
    near = (np.abs(light - light[y, x]).max(axis=2) < POINTED_STEP).astype(np.uint8)
    _, parts = cv2.connectedComponents(near, connectivity=4)
    sheet = np.pad((parts == parts[y, x]).astype(np.uint8), 1)
    depth = cv2.distanceTransform(sheet, cv2.DIST_L2, 5)[1:-1, 1:-1]
    rows, columns = np.indices(depth.shape)
    far = np.hypot(rows - y, columns - x) > NEARBY * max(width, height)
    depth = np.where(far, 0, depth)
    row, column = np.unravel_index(int(depth.argmax()), depth.shape)
    half = float(depth[row, column]) / np.sqrt(2)
    if half < LEAST_HALF:
        return None
    middle = np.array([column + 0.5, row + 0.5])
    around = half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    return GreyView((middle + around) / scale)
