"""What kind of file this is, told by its content and never by its name: phones misname photos."""

from pathlib import PurePath
from typing import IO

from tipvision.photo.fault import PhotoFault

HEAD_BYTES = 64
READ_HERE = "JPEG, PNG, HEIC, TIFF, WebP, AVIF or DNG"

SUFFIXES = frozenset(
    (
        *(".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".heic", ".heif", ".hif"),
        *(".tif", ".tiff", ".webp", ".avif", ".dng"),
    )
)
"""How photos are usually named; what a file holds is told by its content."""

# Brands of the ISO base media file format that hold HEVC-coded pictures (ISO/IEC 23008-12).
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_AVIF_BRANDS = {b"avif", b"avis"}
_TIFF_HEADS = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")  # the latter two: BigTIFF
_OTHER_FORMATS = {b"GIF8": "GIF", b"BM": "BMP", b"%PDF": "PDF", b"PK\3\4": "ZIP"}


def kind_of(stream: IO[bytes], name: str) -> str:
    """ "JPEG", "PNG", "HEIC", "TIFF", "WebP", "AVIF" or "DNG", whatever the file is called.

    stream: of the whole file; it is left where it was found to begin.
    Raises PhotoFault for an empty file, one that holds none of these, and a TIFF without its end.
    """
    stream.seek(0)
    head = stream.read(HEAD_BYTES)
    if not head:
        raise PhotoFault("The file is empty (0 bytes).", "Copy it from the phone again.")
    kind = _by_content(head)
    if kind == "TIFF":
        from tipvision.photo.tiff_pages import tiff_or_dng  # only TIFFs pay for it

        kind = tiff_or_dng(stream)
    stream.seek(0)
    if kind is not None:
        return kind
    other = _other_format(head)
    if other is not None:
        raise PhotoFault(
            f"The file holds {other} data, which is not read.", f"Export it as {READ_HERE}."
        )
    suffix = PurePath(name).suffix.lower()
    named = f", though it is named {suffix}." if suffix in SUFFIXES else "."
    raise PhotoFault(f"The file is not a picture{named}", f"Give a photo in {READ_HERE} format.")


def _by_content(head: bytes) -> str | None:
    if head[:3] == b"\xff\xd8\xff":
        return "JPEG"
    if head[:8] == b"\x89PNG\r\n\x1a\n":
        return "PNG"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WebP"
    if head[:4] in _TIFF_HEADS:
        return "TIFF"
    if head[4:8] == b"ftyp":
        return _of_brands(head[8:HEAD_BYTES])
    return None


def _of_brands(brands: bytes) -> str | None:
    """The main brand decides; "mif1" is said of HEIC and AVIF alike, then the others do."""
    main, others = brands[:4], {brands[i : i + 4] for i in range(8, len(brands) - 3, 4)}
    if main in _AVIF_BRANDS or (main in (b"mif1", b"msf1") and others & _AVIF_BRANDS):
        return "AVIF"
    return "HEIC" if main in _HEIC_BRANDS else None


def _other_format(head: bytes) -> str | None:
    if head[4:8] == b"ftyp":
        return "video"
    return next((name for magic, name in _OTHER_FORMATS.items() if head.startswith(magic)), None)
