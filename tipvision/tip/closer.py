"""A closer look at a photo: the full pixels of a box, as they are shown."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box
from tipvision.photo.photo import Photo

Closer = Callable[[Box, int], NDArray[np.uint8]]
"""Gives a box of the displayed photo from its full pixels, uint8 (h, w, 3) RGB, sRGB-encoded,
reduced to at most so many pixels on the longer side."""


def full_pixels(photo: Photo) -> Closer:
    """The full pixels of a photo; its first use decodes the photo, as measuring does anyway."""
    return photo.shown
