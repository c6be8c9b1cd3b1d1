"""One square of a photo as the fine net sees it, and its answer as labels."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box
from tipvision.tip.closer import Closer
from tipvision.tip.net import FINE_PX, Fine
from tipvision.tip.square import square_view
from tipvision.tip.tip import Part

# source of every number here: our estimate
SPECK = 0.04  # of the nose's pixels: smaller bits of nose, apart from it, are none
COARSER = 1.25  # the overview shows this much less than the photo: then full pixels are asked for

_PART_OF = np.asarray(
    [
        Part.NOTHING,
        Part.NOSE,
        Part.GLARE,
        Part.NOTHING,  # the deep nose is not measured
        Part.ELECTRODE,
        Part.STRAP,
        Part.SHELL,
        Part.NOTHING,  # upper insulator and terminal
    ],
    np.uint8,
)


def crop_of(
    square: Box,
    box: Box,
    overview: NDArray[np.uint8],
    size: tuple[int, int],
    closer: Closer | None,
) -> NDArray[np.uint8]:
    """The view of a square that the fine net wants, uint8 (192, 192, 3), RGB, sRGB-encoded.

    box: what of the square lies in the photo. overview, size, closer: as for `seek.seek_tips`.
    """
    scale = size[0] / overview.shape[1]
    middle = ((square.x0 + square.x1) / 2, (square.y0 + square.y1) / 2)
    if closer is None or scale < COARSER or square.width / scale >= FINE_PX:
        reduced = (middle[0] / scale, middle[1] / scale)
        return square_view(overview, reduced, square.width / scale, FINE_PX)
    near = closer(box, 2 * FINE_PX)
    scale = box.width / near.shape[1]
    reduced = ((middle[0] - box.x0) / scale, (middle[1] - box.y0) / scale)
    return square_view(near, reduced, square.width / scale, FINE_PX)


def labels_of(seen: Fine, square: Box, box: Box) -> NDArray[np.uint8]:
    """Labels of the box from the part logits of the square, without specks of nose."""
    side = min(FINE_PX, square.width)
    parts = cv2.resize(seen.parts, (side, side), interpolation=cv2.INTER_LINEAR)
    labels = _PART_OF[parts.argmax(axis=2)]
    scale = side / square.width
    x = np.arange(round((box.x0 - square.x0) * scale), round((box.x1 - square.x0) * scale))
    y = np.arange(round((box.y0 - square.y0) * scale), round((box.y1 - square.y0) * scale))
    labels = np.ascontiguousarray(labels[np.ix_(y, x)])
    nose = ((labels == Part.NOSE) | (labels == Part.GLARE)).astype(np.uint8)
    count, blobs, stats, _ = cv2.connectedComponentsWithStats(nose, connectivity=8)
    areas = stats[1:count, cv2.CC_STAT_AREA]
    speck = np.concatenate([[False], areas < SPECK * areas.sum()])
    labels[speck[blobs]] = Part.NOTHING
    return np.asarray(labels, np.uint8)
