"""A photo made smaller, cheaply: OpenCV averages whole blocks far faster than broken ones."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]


def blocks(picture: NDArray[Any], step: int) -> Picture:
    """Means of blocks of `step` by `step` pixels; what is left over at right and bottom is cut off.

    picture: uint8 (h, w) or (h, w, 3). step: at least 1; a side shorter than it becomes one pixel.
    Returns uint8 (h // step, w // step), and its channels.
    """
    height, width = (max(1, n // step) for n in picture.shape[:2])
    whole = picture[: height * step, : width * step]
    return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def smaller(picture: NDArray[Any], side: int) -> Picture:
    """The whole picture with `side` pixels on its longer side, or as it is where it has no more.

    It is halved as long as it stays large enough; only the last step is not by whole blocks.

    picture: uint8 (h, w) or (h, w, 3).
    """
    share = min(1.0, side / max(picture.shape[:2]))
    height, width = (max(1, round(n * share)) for n in picture.shape[:2])
    while max(picture.shape[:2]) >= 2 * side:
        picture = blocks(picture, 2)
    if picture.shape[:2] == (height, width):
        return picture
    return np.asarray(
        cv2.resize(picture, (width, height), interpolation=cv2.INTER_LINEAR), np.uint8
    )
