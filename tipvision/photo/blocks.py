"""A box of a photo cut into blocks of pixels that become one, and walked through in stripes."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box
from tipvision.photo.orientation import Scalar

STRIPE_ROWS = 64


@dataclass(frozen=True)
class Blocks:
    """box: a multiple of the block, as stored. block, size: (width, height) of a block in pixels
    and of what becomes of the box."""

    box: Box
    block: tuple[int, int]
    size: tuple[int, int]

    def stripes(self) -> Iterator[tuple[slice, Box]]:
        """Rows of the result and where in the picture they come from, top to bottom."""
        height = self.size[1]
        rows = max(1, STRIPE_ROWS // self.block[1])
        for top in range(0, height, rows):
            bottom = min(top + rows, height)
            y0, y1 = (self.box.y0 + n * self.block[1] for n in (top, bottom))
            yield slice(top, bottom), Box(self.box.x0, y0, self.box.x1, y1)

    def sizes(self, part: Box) -> tuple[int, int]:
        """(width, height) of what becomes of a stripe."""
        return part.width // self.block[0], part.height // self.block[1]


def trimmed(box: Box, step: int) -> Box:
    """The box without what is left over at its right and lower edge by blocks of `step` pixels."""
    width, height = (n - n % min(step, n) for n in (box.width, box.height))
    return Box(box.x0, box.y0, box.x0 + width, box.y0 + height)


def blocks_of(box: Box, step: int) -> Blocks:
    """A stored box, trimmed, in blocks of `step` pixels; a side shorter than that is one block."""
    block = (min(step, box.width), min(step, box.height))
    return Blocks(box, block, (box.width // block[0], box.height // block[1]))


def brightest_in(codes: NDArray[Scalar], block: tuple[int, int]) -> NDArray[Scalar]:
    """The highest value of any channel in each block: (h, w) of (h · down, w · across, 3).

    Whole rows first, then channels, then columns: each pass has less left to look at, and the
    first and largest runs along memory.
    """
    across, down = block
    rows = codes[::down]
    for row in range(1, down):
        rows = np.maximum(rows, codes[row::down])
    pixels = np.maximum(np.maximum(rows[..., 0], rows[..., 1]), rows[..., 2])
    brightest: NDArray[Scalar] = pixels[:, ::across]
    for column in range(1, across):
        brightest = np.maximum(brightest, pixels[:, column::across])
    return brightest
