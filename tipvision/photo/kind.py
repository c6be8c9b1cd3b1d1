"""What kind of file this is, told by its first bytes and never by its name alone."""

from pathlib import PurePath

from tipvision.photo.fault import PhotoFault

HEAD_BYTES = 64
READ_HERE = "JPEG, PNG or HEIC"

_SUFFIXES = {
    "JPEG": {".jpg", ".jpeg", ".jpe", ".jfif"},
    "PNG": {".png"},
    "HEIC": {".heic", ".heif", ".hif"},
}
_USUAL_SUFFIX = {"JPEG": ".jpg", "PNG": ".png", "HEIC": ".heic"}
# Brands of the ISO base media file format that hold HEVC-coded pictures (ISO/IEC 23008-12).
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_OTHER_FORMATS = {
    b"GIF8": "GIF",
    b"II*\0": "TIFF",
    b"MM\0*": "TIFF",
    b"BM": "BMP",
    b"%PDF": "PDF",
    b"PK\3\4": "ZIP",
}


def kind_of(head: bytes, name: str) -> str:
    """ "JPEG", "PNG" or "HEIC", from the first `HEAD_BYTES` bytes of the file called `name`.

    Raises PhotoFault for an empty file, one of another format, and one whose name says something
    else than its content: a shop that trusts names would file it wrongly.
    """
    if not head:
        raise PhotoFault("The file is empty (0 bytes).", "Copy it from the phone again.")
    kind = _by_content(head)
    suffix = PurePath(name).suffix.lower()
    named = next((k for k, suffixes in _SUFFIXES.items() if suffix in suffixes), None)
    if kind is None:
        other = _other_format(head)
        if other is not None:
            raise PhotoFault(
                f"The file holds {other} data, which is not read.", f"Export it as {READ_HERE}."
            )
        raise PhotoFault(
            "The file is not a picture" + (f", though it is named {suffix}." if named else "."),
            f"Give a photo in {READ_HERE} format.",
        )
    if named is not None and named != kind:
        raise PhotoFault(
            f"The file is named {suffix} but holds a {kind} picture.",
            f"Rename it to end in {_USUAL_SUFFIX[kind]}.",
        )
    return kind


def _by_content(head: bytes) -> str | None:
    if head[:3] == b"\xff\xd8\xff":
        return "JPEG"
    if head[:8] == b"\x89PNG\r\n\x1a\n":
        return "PNG"
    if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS:
        return "HEIC"
    return None


def _other_format(head: bytes) -> str | None:
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WebP"
    if head[4:8] == b"ftyp":
        return "AVIF" if head[8:12] in (b"avif", b"avis") else "video"
    return next((name for magic, name in _OTHER_FORMATS.items() if head.startswith(magic)), None)
