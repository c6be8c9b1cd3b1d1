"""The first page of a TIFF, and of a DNG those under it: what they say before they are decoded.

Pillow reads the tags. The decoders would find a missing end as well, but only after writing about
it to the screen in words of their own.
"""

from typing import IO

from PIL.TiffImagePlugin import ImageFileDirectory_v2

from tipvision.photo.fault import PhotoFault, damage_as_fault, damaged
from tipvision.photo.source import length_of

_REDUCED = 254  # NewSubfileType: bit 0 says that a page is only a small copy
_SUB_PAGES = 330
_DNG_VERSION = 50706
_PARTS = ((273, 279), (324, 325))  # where strips or tiles begin, and their bytes
_BIG = 43  # the number in the head of a BigTIFF
MOST_SUB_PAGES = 32


def tiff_or_dng(stream: IO[bytes]) -> str:
    """ "TIFF" or "DNG".

    Raises PhotoFault for a file whose end is missing, and for a camera's own raw file: the first
    page of those is a thumbnail, which must not pass for the photo.
    """
    with damage_as_fault("TIFF"):
        length = length_of(stream)
        head = stream.read(8)
        if _BIG in head[2:4]:
            head += stream.read(8)
        first = _page(stream, head, None)
        if _DNG_VERSION not in first:
            if int(first.get(_REDUCED, 0)) & 1 and _SUB_PAGES in first:
                raise PhotoFault(
                    "The file holds a camera's own raw data, which is not read.",
                    "Export it as DNG or JPEG.",
                )
            _refuse_cut_off(first, length, "TIFF")
            return "TIFF"
        for offset in (0, *_numbers(first, _SUB_PAGES)[:MOST_SUB_PAGES]):
            page = _page(stream, head, offset) if offset else first
            _refuse_cut_off(page, length, "DNG")
    return "DNG"


def _page(stream: IO[bytes], head: bytes, offset: int | None) -> ImageFileDirectory_v2:
    page = ImageFileDirectory_v2(head)
    stream.seek(page.next if offset is None else offset)
    page.load(stream)
    return page


def _refuse_cut_off(page: ImageFileDirectory_v2, length: int, kind: str) -> None:
    for begins, counts in _PARTS:
        parts = zip(_numbers(page, begins), _numbers(page, counts), strict=False)
        if any(begin + count > length for begin, count in parts):
            raise damaged(kind)


def _numbers(page: ImageFileDirectory_v2, tag: int) -> tuple[int, ...]:
    said = page.get(tag, ())
    return tuple(int(n) for n in said) if isinstance(said, tuple) else (int(said),)
