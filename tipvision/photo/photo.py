"""One photo file: header and metadata, a reduced overview, pixels of a window on demand.

A 12-megapixel photo never stands in memory as floats: profile and linearisation apply to what is
asked for. It is decoded once where half scale serves for all that is asked.
"""

import io
from dataclasses import dataclass
from typing import IO, Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.blocks import blocks_of, trimmed
from tipvision.photo.box import Box
from tipvision.photo.decode import comes_at_half_scale, decoded
from tipvision.photo.header import MOST_MEGAPIXELS, Header, header_of
from tipvision.photo.kind import kind_of
from tipvision.photo.memory import fits, refuse_costly
from tipvision.photo.metadata import Metadata
from tipvision.photo.orientation import Scalar, displayed_size, stored_box, upright
from tipvision.photo.pixels import Codes, Pixels
from tipvision.photo.profile import Profile
from tipvision.photo.raw import raw_header
from tipvision.photo.source import STANDARD_INPUT, held, length_of, stream_of
from tipvision.photo.tone import CEILING, Tone

__all__ = [
    "CEILING",
    "OVERVIEW_PX",
    "STANDARD_INPUT",
    "Photo",
    "Window",
    "open_photo",
    "photo_from",
]

OVERVIEW_PX = 1024
LEAST_OVERVIEW_PX = OVERVIEW_PX * 7 // 8  # slack: whole steps of reduction are cheap
NEARLY_ONE = 0.87  # a reduction to no less is interpolated: averaging costs more (our estimate)

# Width of what is measured, at half scale, from which half scale serves.
# source: measured: python -m pipelines.bench.decode_cost
HALF_SERVES_PX = 60


@dataclass(frozen=True)
class Window:
    """A part of a photo in linear light.

    linear:  float32 (h, w, 3), nominal linear sRGB (D65), 0 to 1, no tone curve but sRGB's undone.
    clipped: bool (h, w), a channel stood at its ceiling in the file.
    scale:   2 where it was made from pixels decoded at half scale, else 1.
    coarser: whole steps by which it is coarser than what `longest` asks for.
    """

    linear: NDArray[np.float32]
    clipped: NDArray[np.bool_]
    scale: int = 1
    coarser: int = 1


class Photo:
    """A readable photo. Make one with `open_photo` or `photo_from`; every method may raise
    PhotoFault.

    name:     as it was given.
    size:     (width, height) as displayed, pixels.
    metadata: what the camera wrote.
    decodes:  the scale of every decode so far: 2 at half scale, 1 in full.
    """

    def __init__(self, name: str, stream: IO[bytes]) -> None:
        self.name = name
        self.decodes: tuple[int, ...] = ()
        self._stream = stream
        self._length = length_of(stream)
        self._header = self._read_header(kind_of(stream, name))
        self.metadata: Metadata = self._header.metadata
        icc = self._header.icc
        colours = "CMYK" if self._header.mode == "CMYK" else "RGB"
        self._tone = Tone(Profile(icc, colours) if icc else None, raw=self._header.kind == "DNG")
        self.size = displayed_size(self._header.size, self.metadata.orientation)
        self._kept: dict[int, Pixels] = {}
        self._overview: NDArray[np.uint8] | None = None

    def overview(self) -> NDArray[np.uint8]:
        """uint8 (h, w, 3), sRGB-encoded, upright, at most `OVERVIEW_PX` on the longer side.

        It is reduced in encoded values: good for finding, not for measuring. Made once.
        """
        if self._overview is None:
            self._overview = self._made_overview()
        return self._overview

    def _made_overview(self) -> NDArray[np.uint8]:
        pixels = self._pixels(2 if self._half_is_enough() else 1)
        longer = max(pixels.size)
        step = -(-longer // OVERVIEW_PX)
        step = step if longer // step >= LEAST_OVERVIEW_PX else max(1, step - 1)
        small = self._reduced(pixels, Box(0, 0, *displayed_size(pixels.size, self._turn)), step)
        height, width = small.shape[:2]
        if max(width, height) > OVERVIEW_PX:
            shrink = OVERVIEW_PX / max(width, height)
            target = (max(1, round(width * shrink)), max(1, round(height * shrink)))
            quick = shrink >= NEARLY_ONE
            small = _resized(small, target, cv2.INTER_LINEAR if quick else cv2.INTER_AREA)
        return upright(self._tone.shown(small), self._turn)

    def window(
        self, box: Box, longest: int, part_px: float | None = None, block_px: float = 1.0
    ) -> Window:
        """The pixels of `box` (displayed photo), reduced in linear light to at most `longest`.

        part_px: width of what is measured in it, pixels of the displayed photo. Half scale serves
        where that has `HALF_SERVES_PX` then, or where the reduction makes it no smaller; the edges
        of the box may then lie a pixel of the photo aside.
        block_px: side of a square of the displayed photo that may become one pixel; the reduction
        comes as near to that as whole steps beyond `longest` allow.
        """
        half = longest <= max(self._inside(box)) // 2
        if part_px is not None:
            half = half or part_px >= 2 * HALF_SERVES_PX
        pixels, near, scale = self._pixels_of(box, half)
        step = max(1, -(-max(near.width, near.height) // longest))
        coarser = max(1, round(block_px / (scale * step)))
        step *= coarser
        near = trimmed(near, step)
        blocks = blocks_of(stored_box(near, pixels.size, self._turn), step)
        linear = np.empty((blocks.size[1], blocks.size[0], 3), np.float32)
        clipped = np.empty(linear.shape[:2], np.bool_)
        for rows, part in blocks.stripes():
            codes = pixels.codes(part)
            linear[rows] = _averaged(self._tone.linear(codes), blocks.sizes(part))
            clipped[rows] = self._tone.clipped(codes, blocks.block)
        return Window(upright(linear, self._turn), upright(clipped, self._turn), scale, coarser)

    def shown(self, box: Box, longest: int) -> NDArray[np.uint8]:
        """uint8 (h, w, 3), sRGB-encoded, upright: `box` of the displayed photo, at most `longest`
        on the longer side; from its full pixels where half scale has less than 3/8 of that.

        It is reduced in encoded values, as the overview is: good for finding, not for measuring.
        """
        pixels, near, _ = self._pixels_of(box, 3 * longest <= 4 * max(self._inside(box)))
        step = max(1, -(-max(near.width, near.height) // longest))
        return upright(self._tone.shown(self._reduced(pixels, near, step)), self._turn)

    @property
    def _turn(self) -> int:
        return self.metadata.orientation

    def _read_header(self, kind: str) -> Header:
        def affordable(header: Header) -> None:
            refuse_costly(header, comes_at_half_scale(header), self._held(header))

        if kind != "DNG":
            return header_of(self._stream, kind, affordable)
        header = raw_header(self._stream)
        affordable(header)
        return header

    def _inside(self, box: Box) -> tuple[int, int]:
        """Width and height of what of a box lies in the photo."""
        inside = box.within(*self.size)
        if inside.width < 1 or inside.height < 1:
            raise ValueError(f"the window {box} lies outside a photo of {self.size}")
        return inside.width, inside.height

    def _half_is_enough(self) -> bool:
        """Whether the overview needs no more than half scale."""
        return comes_at_half_scale(self._header) and (
            max(self.size) >= 2 * LEAST_OVERVIEW_PX or not self._full_fits()
        )

    def _held(self, header: Header) -> int:
        """Bytes of the file that lie in memory while it is decoded: ours, and the decoder's."""
        return self._length * (header.copied + isinstance(self._stream, io.BytesIO))

    def _full_fits(self) -> bool:
        return fits(self._header, False, self._held(self._header))

    def _pixels_of(self, box: Box, half: bool) -> tuple[Pixels, Box, int]:
        """Pixels, the displayed box in them, and their scale; half only where it is to be had."""
        half = self._half_is_enough() and (half or not self._full_fits())
        pixels = self._pixels(2 if half else 1)
        scale = self._scale_of(pixels)
        near = Box(box.x0 // scale, box.y0 // scale, -(-box.x1 // scale), -(-box.y1 // scale))
        return pixels, near.within(*displayed_size(pixels.size, self._turn)), scale

    def _pixels(self, scale: int) -> Pixels:
        """The stored picture at a scale of 1 or 2, decoded once; in full where it does not come
        at half scale, and then kept as the full one too."""
        if scale not in self._kept:
            if self._kept and self._header.pixels > MOST_MEGAPIXELS * 5e5:
                self._kept.clear()  # both scales of so large a photo are too much to keep
            pixels = decoded(self._stream, self._header, half=scale == 2)
            came = self._scale_of(pixels)
            self._kept |= {scale: pixels, came: pixels}
            self.decodes = (*self.decodes, came)
        return self._kept[scale]

    def _scale_of(self, pixels: Pixels) -> int:
        """What came of the decode: some raw photos and some JPEGs come in full when asked for
        half."""
        return round(self._header.size[0] / pixels.size[0])

    def _reduced(self, pixels: Pixels, near: Box, step: int) -> Codes:
        """Codes of a displayed box, blocks of `step` pixels averaged, as they lie in the file."""
        near = trimmed(near, step)
        blocks = blocks_of(stored_box(near, pixels.size, self._turn), step)
        stripes = [
            _averaged(pixels.codes(part), blocks.sizes(part)) for _, part in blocks.stripes()
        ]
        return stripes[0] if len(stripes) == 1 else np.concatenate(stripes)


def open_photo(name: str) -> Photo:
    """The photo at path `name` ("-" is standard input).

    Raises PhotoFault when the file is missing, empty, of a kind that is not read, damaged, or too
    large.
    """
    return Photo(name, stream_of(name))


def photo_from(name: str, content: bytes) -> Photo:
    """The photo whose file, called `name`, holds `content`; raises PhotoFault as `open_photo`."""
    return Photo(name, held(content))


def _averaged(pixels: NDArray[Scalar], size: tuple[int, int]) -> NDArray[Scalar]:
    """(h, w, n) reduced to (width, height), every pixel by the area it takes."""
    if (pixels.shape[1], pixels.shape[0]) == size:
        return pixels
    return _resized(pixels, size, cv2.INTER_AREA)


def _resized(pixels: NDArray[Scalar], size: tuple[int, int], way: int) -> NDArray[Scalar]:
    whole: NDArray[Any] = pixels  # whatever OpenCV's types say, it averages uint16 as well
    return np.asarray(cv2.resize(whole, size, interpolation=way), pixels.dtype)
