"""EXIF orientation: from the picture as stored to the picture as a person sees it.

Orientation values 1 to 8 are those of the Exif standard (CIPA DC-008, tag 0x0112).
"""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box

Scalar = TypeVar("Scalar", bound=np.generic)


def upright(picture: NDArray[Scalar], orientation: int) -> NDArray[Scalar]:
    """The picture, (h, w) or (h, w, n), turned and mirrored as `orientation` asks, contiguous;
    unknown values leave it alone."""
    if sideways(orientation):
        picture = picture.swapaxes(0, 1)
    if orientation in (3, 4, 7, 8):
        picture = picture[::-1]
    if orientation in (2, 3, 6, 7):
        picture = picture[:, ::-1]
    return np.ascontiguousarray(picture)


def sideways(orientation: int) -> bool:
    """Whether rows and columns change places."""
    return orientation in (5, 6, 7, 8)


def displayed_size(stored: tuple[int, int], orientation: int) -> tuple[int, int]:
    """(width, height) as displayed of a picture stored with that (width, height)."""
    return (stored[1], stored[0]) if sideways(orientation) else stored


def stored_box(box: Box, stored: tuple[int, int], orientation: int) -> Box:
    """Where a box of the displayed picture lies in the stored one of (width, height) `stored`."""
    width, height = stored
    x0, y0, x1, y1 = box.x0, box.y0, box.x1, box.y1
    if sideways(orientation):
        x0, y0, x1, y1 = y0, x0, y1, x1
    if orientation in (2, 3, 7, 8):  # mirrored left to right in the stored picture
        x0, x1 = width - x1, width - x0
    if orientation in (3, 4, 6, 7):  # mirrored top to bottom
        y0, y1 = height - y1, height - y0
    return Box(x0, y0, x1, y1)
