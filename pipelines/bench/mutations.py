"""Photos with damage, of every format, each made by its number alone."""

import io
import random
from functools import cache

import pillow_heif
from PIL import Image

from pipelines.bench.batch_photos import pictures

FORMATS = ("JPEG", "JPEG", "PNG", "HEIF", "TIFF", "WEBP", "AVIF")  # JPEG twice: most photos are
ENDINGS = {
    **{"JPEG": "jpg", "PNG": "png", "HEIF": "heic"},
    **{"TIFF": "tif", "WEBP": "webp", "AVIF": "avif"},
}
WIDTH = 320
ORIGINALS = 6  # of each format


def ending(number: int) -> str:
    """Of the file of that number."""
    return ENDINGS[_format(number)]


def mutated(number: int) -> bytes:
    """An original with one to six places changed, cut, doubled, zeroed or swapped, or its end
    missing."""
    chance = random.Random(number)
    content = bytearray(_original(_format(number), chance.randrange(ORIGINALS)))
    for _ in range(chance.choice((1, 1, 2, 3, 6))):
        # half of the places lie in the header, where damage does most
        reach = len(content) if chance.random() < 0.5 else min(len(content), 600)
        at = chance.randrange(reach)
        size = chance.choice((1, 2, 4, 16, 256))
        kind = chance.choice(("bytes", "bytes", "large", "cut", "double", "zero", "end"))
        if kind == "bytes":
            content[at : at + size] = chance.randbytes(len(content[at : at + size]))
        elif kind == "large":  # a number that asks for as much as it can
            content[at : at + 4] = b"\xff" * len(content[at : at + 4])
        elif kind == "cut":
            del content[at : at + size]
        elif kind == "double":
            content[at:at] = content[at : at + size]
        elif kind == "zero":
            content[at : at + size] = bytes(len(content[at : at + size]))
        elif len(content) > 1000:
            del content[chance.randrange(100, len(content)) :]
    return bytes(content)


def _format(number: int) -> str:
    return FORMATS[number % len(FORMATS)]


@cache
def _original(format_: str, which: int) -> bytes:
    pillow_heif.register_heif_opener()
    of_all = pictures()
    with Image.open(io.BytesIO(of_all[which * len(of_all) // ORIGINALS])) as picture:
        picture.thumbnail((WIDTH, WIDTH))
        exif = picture.getexif()
        exif[274] = 1 + which  # orientation
        held = io.BytesIO()
        kept = {"exif": exif.tobytes()} if format_ != "TIFF" else {}
        if format_ == "TIFF":
            kept |= {"compression": ("raw", "tiff_lzw", "tiff_deflate")[which % 3]}
        picture.convert("RGB").save(held, format_, **kept)
    return held.getvalue()
