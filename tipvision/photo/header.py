"""What a photo file says of itself before its pixels are decoded, and why some are refused then."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import IO

from PIL import Image, ImageFile, UnidentifiedImageError

from tipvision.photo.fault import PhotoFault, damage_as_fault
from tipvision.photo.metadata import Metadata, metadata_of

MOST_MEGAPIXELS = 100
_IN_PILLOW = {"WebP": "WEBP", "HEIC": "HEIF"}
_READ_BY_PIECES = {("PNG", "zip"), ("TIFF", "raw")}  # kinds, and Pillow's names of decoders
_GREY = {"L", "LA", "La", "1", "I", "I;16", "I;16B", "F"}
_COLOUR = {"RGB", "RGBA", "RGBX", "RGBa", "P", "PA", "CMYK", "YCbCr"}
_GIVE_COLOUR = "Give a colour photo."
_BITS = 258  # TIFF tag BitsPerSample
_HDR_CURVES = {16: "PQ", 18: "HLG"}  # ITU-T H.273, transfer characteristics


@dataclass(frozen=True)
class Header:
    """What is known before decoding.

    kind:     as `kind.kind_of` says.
    size:     (width, height) as the decoder gives it, pixels.
    mode:     Pillow's name for the kind of pixels.
    deep:     more than 8 bits a channel, which are all measured.
    metadata: its orientation is what is still to be turned after decoding.
    icc:      embedded colour profile.
    turned:   the decoder itself turns the picture upright, in a second copy.
    copied:   the decoder takes the whole file into memory.
    layers:   (horizontal, vertical) sampling of each component of a progressive JPEG, else empty.
    picture:  Pillow's own, not decoded yet (a PNG may be); None for DNG.
    """

    kind: str
    size: tuple[int, int]
    mode: str
    metadata: Metadata
    deep: bool = False
    icc: bytes | None = None
    turned: bool = False
    copied: bool = True
    layers: tuple[tuple[int, int], ...] = ()
    picture: ImageFile.ImageFile | None = None

    @property
    def pixels(self) -> int:
        return self.size[0] * self.size[1]


def header_of(stream: IO[bytes], kind: str, affordable: Callable[[Header], None]) -> Header:
    """The header of a picture that Pillow reads.

    Raises PhotoFault for one that is damaged, larger than `MOST_MEGAPIXELS`, not in colour, or what
    `affordable` refuses; all of it before any pixel is decoded.
    """
    picture = opened(stream, kind)
    if min(picture.size) < 1:
        raise PhotoFault("The picture has no pixels.", "Take the photo again.")
    refuse_large(picture.size)
    _refuse_unfit(picture, kind)
    header = Header(
        kind,
        picture.size,
        picture.mode,
        Metadata(),
        deep=_is_deep(picture, kind),
        copied=not (picture.tile and (kind, picture.tile[0].codec_name) in _READ_BY_PIECES),
        icc=picture.info.get("icc_profile"),
        layers=_progressive_layers(picture),
        picture=picture,
    )
    affordable(header)
    with damage_as_fault(kind):
        metadata = metadata_of(picture.getexif())  # decodes a PNG that has its Exif at the end
    turned = kind == "TIFF" and metadata.orientation != 1
    if kind in ("TIFF", "HEIC"):  # their decoders turn the picture upright
        metadata = replace(metadata, orientation=1)
    header = replace(header, metadata=metadata, turned=turned)
    affordable(header)
    return header


def opened(stream: IO[bytes], kind: str) -> ImageFile.ImageFile:
    """A picture of that kind in Pillow, not decoded yet."""
    if kind == "HEIC":
        import pillow_heif  # only photos in HEIC pay for it

        pillow_heif.register_heif_opener()
    stream.seek(0)
    with damage_as_fault(kind):
        try:
            return Image.open(stream, formats=[_IN_PILLOW.get(kind, kind)])
        except Image.DecompressionBombError as error:
            raise _too_large() from error
        except UnidentifiedImageError as error:
            if kind != "TIFF":
                raise
            raise PhotoFault(
                "The TIFF file is damaged, or keeps its pixels in a way that is not read.",
                "Export it as a JPEG, or a TIFF of 8 or 16 bits a channel.",
            ) from error


def refuse_large(size: tuple[int, int]) -> None:
    if size[0] * size[1] > MOST_MEGAPIXELS * 1e6:
        raise _too_large()


def rawmode(picture: ImageFile.ImageFile) -> str:
    """How the pixels lie in the file, in Pillow's words; "" when that is left to the decoder."""
    args = picture.tile[0].args if picture.tile else ""
    first = args[0] if isinstance(args, tuple) and args else args
    return first if isinstance(first, str) else ""


def without_colour() -> PhotoFault:
    return PhotoFault("The picture holds shades of grey only, which tell no colour.", _GIVE_COLOUR)


def _too_large() -> PhotoFault:
    return PhotoFault(
        f"The picture has more than {MOST_MEGAPIXELS} megapixels.", "Export it smaller."
    )


def _refuse_unfit(picture: ImageFile.ImageFile, kind: str) -> None:
    if picture.mode in _GREY:
        raise without_colour()
    if picture.mode not in _COLOUR:
        raise PhotoFault(
            f"The picture holds colours of an unknown kind ({picture.mode}).", _GIVE_COLOUR
        )
    if picture.mode == "CMYK" and not picture.info.get("icc_profile"):
        raise PhotoFault(
            "The picture holds print colours (CMYK) without the profile that says which they are.",
            "Export it as sRGB, or with its profile.",
        )
    transfer = (picture.info.get("nclx_profile") or {}).get("transfer_characteristics")
    if transfer in _HDR_CURVES:
        raise PhotoFault(
            f"The picture is coded for HDR screens ({_HDR_CURVES[transfer]}), which is not read.",
            "Switch HDR photos off, or export it as JPEG.",
        )
    if kind == "TIFF" and ";16" not in rawmode(picture) and _bits(picture) > 8:
        # Pillow would read these pages as if they had 8 bits
        raise PhotoFault(
            "The TIFF file keeps its 16-bit colours in separate planes, which is not read.",
            "Export it with interleaved channels.",
        )


def _bits(picture: Image.Image) -> int:
    """Most bits a channel of a TIFF."""
    said = getattr(picture, "tag_v2", {}).get(_BITS, 8)
    return int(max(said)) if isinstance(said, tuple) else int(said)


def _is_deep(picture: ImageFile.ImageFile, kind: str) -> bool:
    if picture.mode == "CMYK":  # goes through its profile, which knows 8 bits
        return False
    if kind == "HEIC":
        return int(picture.info.get("bit_depth", 8)) > 8
    return kind in ("PNG", "TIFF") and ";16" in rawmode(picture)


def _progressive_layers(picture: Image.Image) -> tuple[tuple[int, int], ...]:
    if not picture.info.get("progressive"):
        return ()
    return tuple((int(layer[1]), int(layer[2])) for layer in getattr(picture, "layer", ()))
