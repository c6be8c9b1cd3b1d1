"""Decoded pixels as they lie in the file, handed out by the box and never copied whole."""

from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tipvision.photo.box import Box

Codes = NDArray[np.uint8 | np.uint16]
"""(h, w, 3) RGB over white, or (h, w, 4) CMYK; 0 to 255 or 0 to 65535."""


class Pixels(Protocol):
    """size: (width, height) of the stored picture at this scale."""

    @property
    def size(self) -> tuple[int, int]: ...

    def codes(self, box: Box) -> Codes:
        """The codes of a box of the stored picture."""


class Pictured:
    """8 bits a channel, in Pillow."""

    def __init__(self, picture: Image.Image) -> None:
        self._picture = picture

    @property
    def size(self) -> tuple[int, int]:
        return self._picture.size

    def codes(self, box: Box) -> NDArray[np.uint8]:
        return np.asarray(_solid(self._picture.crop((box.x0, box.y0, box.x1, box.y1))))


class PicturedDeep:
    """16 bits a channel: Pillow knows no such pictures, so it keeps high and low bytes apart."""

    def __init__(self, high: Image.Image, low: Image.Image) -> None:
        self._high, self._low = high, low

    @property
    def size(self) -> tuple[int, int]:
        return self._high.size

    def codes(self, box: Box) -> NDArray[np.uint16]:
        edges = (box.x0, box.y0, box.x1, box.y1)
        codes = np.asarray(self._high.crop(edges), np.uint16)
        codes <<= 8
        codes |= np.asarray(self._low.crop(edges), np.uint16)
        return _over_white(codes)


class Arrayed:
    """An array (h, w, 3 or 4) of RGB or RGB and alpha, or of BGR as OpenCV gives it."""

    def __init__(self, array: Codes, bgr: bool = False) -> None:
        self._array, self._bgr = array, bgr

    @property
    def size(self) -> tuple[int, int]:
        return self._array.shape[1], self._array.shape[0]

    def codes(self, box: Box) -> Codes:
        part = self._array[box.y0 : box.y1, box.x0 : box.x1]
        if self._bgr:
            part = part[..., [2, 1, 0, 3][: part.shape[2]]]
        if part.dtype == np.uint16:
            return _over_white(np.asarray(part, np.uint16))
        return part if part.shape[2] == 3 else np.asarray(_solid(Image.fromarray(part)))


def _solid(picture: Image.Image) -> Image.Image:
    """The picture as RGB or CMYK; see-through parts lie on white, as a browser shows them."""
    if picture.mode in ("RGB", "CMYK"):
        return picture
    see_through = picture.mode in ("RGBA", "RGBa", "PA") or "transparency" in picture.info
    if not see_through:
        return picture.convert("RGB")
    solid = picture.convert("RGBA")
    ground = Image.new("RGBA", solid.size, "white")
    return Image.alpha_composite(ground, solid).convert("RGB")


def _over_white(codes: NDArray[np.uint16]) -> NDArray[np.uint16]:
    if codes.shape[2] == 3:
        return codes
    share = codes[..., 3:].astype(np.float32) / 65535
    solid = codes[..., :3] * share + 65535 * (1 - share)
    return np.rint(solid).astype(np.uint16)
