"""From a file's bytes to its pixels, at full or at half scale."""

import sys
from typing import IO

import cv2
import numpy as np
import simplejpeg
from PIL import Image

from tipvision.photo.fault import PhotoFault, damage_as_fault, damaged
from tipvision.photo.header import Header, opened, rawmode
from tipvision.photo.pixels import Arrayed, Pictured, PicturedDeep, Pixels
from tipvision.photo.raw import raw_pixels

MOST_SCANS = 100  # a progressive JPEG has about ten; each costs a pass over the whole picture
_SCAN = b"\xff\xda"  # never part of coded pixels (ISO/IEC 10918-1)
_OTHER_BYTE = {"L": "B", "B": "L", "N": "B" if sys.byteorder == "little" else "L"}


def comes_at_half_scale(header: Header) -> bool:
    """Whether every second pixel can be had for less than all of them: of a JPEG its decoder makes
    them from half the frequencies, of a raw photo they are the sensor's own groups of four."""
    return header.kind == "DNG" or (header.kind == "JPEG" and header.mode == "RGB")


def decoded(stream: IO[bytes], header: Header, half: bool) -> Pixels:
    """The stored picture; at half scale only what `comes_at_half_scale`.

    Raises PhotoFault for a file that is cut off or damaged: none is read half grey.
    """
    stream.seek(0)
    if header.kind == "DNG":
        return Arrayed(raw_pixels(stream, half))
    if header.kind == "JPEG" and header.mode == "RGB":
        return _jpeg(stream, header, half)
    if header.kind == "WebP":
        return _webp(stream)
    if header.kind == "HEIC":
        import pillow_heif

        with damage_as_fault(header.kind):
            return Arrayed(np.asarray(pillow_heif.open_heif(stream, convert_hdr_to_8bit=False)))
    return _by_pillow(stream, header)


def _by_pillow(stream: IO[bytes], header: Header) -> Pixels:
    with damage_as_fault(header.kind):
        picture = header.picture or opened(stream, header.kind)
        picture.load()
        if not header.deep:
            return Pictured(picture)
        return PicturedDeep(picture, _low_bytes(stream, header.kind))


def _jpeg(stream: IO[bytes], header: Header, half: bool) -> Pixels:
    """By libjpeg-turbo, which says what it would mend: bits turned over, rows that are missing.

    Stray bytes between its parts do no harm; some cameras write them.
    """
    content = stream.read()
    if header.layers and content.count(_SCAN) > MOST_SCANS:
        raise PhotoFault(
            f"The JPEG file is made of more than {MOST_SCANS} passes, which no camera writes.",
            "Export it again.",
        )
    width, height = (-(-n // 2) for n in header.size) if half else header.size
    with damage_as_fault(header.kind):
        try:
            array = simplejpeg.decode_jpeg(
                content, "RGB", min_height=height, min_width=width, min_factor=1, strict=True
            )
        except ValueError as error:
            if "extraneous" not in str(error):
                raise
        else:
            return Arrayed(array)
    return _by_pillow(stream, header)


def _webp(stream: IO[bytes]) -> Pixels:
    """By OpenCV: Pillow takes three times the memory for it."""
    try:
        array = cv2.imdecode(np.frombuffer(stream.read(), np.uint8), cv2.IMREAD_UNCHANGED)
    except cv2.error as error:
        raise damaged("WebP") from error
    if array is None or array.ndim != 3 or array.dtype != np.uint8:
        raise damaged("WebP")
    return Arrayed(np.asarray(array, np.uint8), bgr=True)


def _low_bytes(stream: IO[bytes], kind: str) -> Image.Image:
    """The lower byte of every 16-bit channel, got by telling Pillow the other order of bytes."""
    picture = opened(stream, kind)
    told = rawmode(picture)
    other = told[:-1] + _OTHER_BYTE[told[-1]]
    picture.tile = [
        tile._replace(args=(other, *tile.args[1:]) if isinstance(tile.args, tuple) else other)
        for tile in picture.tile
    ]
    picture.load()
    return picture
