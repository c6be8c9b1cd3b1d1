"""Even sheets with four straight edges in a photo."""

import cv2
import numpy as np
from numpy.typing import NDArray

# All our estimate; they are set so that a wrong sheet is rarely taken, and cards are missed rather.
MOST_AREA = 0.6  # share of the photo
LEAST_SIDE = 6  # pixels
MOST_ASPECT = 2.4  # longer side over shorter, tilted
MOST_UNLIKE = 1.7  # a side over the one across from it, in perspective
STRAIGHT = 0.96  # share of the sheet's outline that lies within `OUTLINE_PX` of four straight lines
OUTLINE_PX = 2.0
FILLED = 0.93  # share of the quadrilateral that is one even sheet


def even_parts(slope: NDArray[np.uint8], step: int) -> NDArray[np.int32]:
    """Numbers (h, w) of the even regions, 0 where it is not even.

    slope: uint8 (h, w), the steps of 8-bit code round each pixel.
    """
    even = cv2.threshold(slope, step - 1, 1, cv2.THRESH_BINARY_INV)[1]
    return np.asarray(cv2.connectedComponents(even, connectivity=4)[1], np.int32)


def sheets(
    parts: NDArray[np.int32], least: float
) -> list[tuple[NDArray[np.float64], NDArray[np.bool_]]]:
    """Even regions with four straight edges that the frame does not cut: corners, float64 (4, 2),
    and mask, bool (h, w).

    parts: numbers (h, w) of the regions, as `even_parts` gives them.
    least: share of the photo from which on they are looked at.
    """
    few = parts[::2, ::2]  # a quarter of the pixels leaves out what is far too small
    seen = np.bincount(np.ravel(few)) >= 0.5 * least * few.size
    seen[0] = False  # all that is not even
    for edge in (parts[:2], parts[-2:], parts[:, :2], parts[:, -2:]):
        # a sheet that is cut off by the frame does not show its edges
        seen[edge[edge < len(seen)]] = False
    found = []
    for k in np.flatnonzero(seen):
        mask = np.asarray(parts == k)
        if not least <= np.count_nonzero(mask) / mask.size <= MOST_AREA:
            continue
        left, top, wide, high = cv2.boundingRect(mask.view(np.uint8))
        quad = _four_corners(mask[top : top + high, left : left + wide])
        if quad is not None:
            found.append((quad + np.array([left, top]), mask))
    return found


def _four_corners(mask: NDArray[np.bool_]) -> NDArray[np.float64] | None:
    outlines, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    outline = max(outlines, key=len)
    hull = cv2.convexHull(outline)
    around = cv2.arcLength(hull, True)
    rough = cv2.approxPolyDP(hull, 0.03 * around, True)
    if len(rough) != 4:
        return None
    corners = rough[:, 0].astype(np.float64)
    points = outline[:, 0].astype(np.float64)
    away = np.min([_distance(points, corners[k], corners[(k + 1) % 4]) for k in range(4)], axis=0)
    if (away <= OUTLINE_PX).mean() < STRAIGHT:
        return None
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=0), axis=1)
    if sides.min() < LEAST_SIDE or sides.max() > MOST_ASPECT * sides.min():
        return None
    unlike = np.maximum(sides[:2], sides[2:]) / np.minimum(sides[:2], sides[2:])
    if unlike.max() > MOST_UNLIKE:
        return None
    if mask.sum() < FILLED * cv2.contourArea(rough):
        return None
    return corners + 0.5


def _distance(
    points: NDArray[np.float64], start: NDArray[np.float64], end: NDArray[np.float64]
) -> NDArray[np.float64]:
    along = (end - start) / np.linalg.norm(end - start)
    offset = points - start
    return np.asarray(np.abs(offset[:, 0] * along[1] - offset[:, 1] * along[0]))
