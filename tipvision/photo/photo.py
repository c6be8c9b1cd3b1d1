"""One photo file: header and metadata, a reduced overview, full pixels of a window on demand.

A 12-megapixel photo never stands in memory as floats: profile and linearisation apply to what is
asked for.
"""

import io
import struct
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tipvision.colour.srgb import linear_table
from tipvision.photo.box import Box
from tipvision.photo.fault import PhotoFault
from tipvision.photo.kind import HEAD_BYTES, READ_HERE, kind_of
from tipvision.photo.metadata import Metadata, metadata_of
from tipvision.photo.orientation import displayed_size, stored_box, upright
from tipvision.photo.profile import Profile

OVERVIEW_PX = 1024
MOST_MEGAPIXELS = 100
CEILING = 254  # 8-bit code from which a channel counts as clipped (our estimate: JPEG ripples by 1)
STRIPE_ROWS = 256
STANDARD_INPUT = "-"


@dataclass(frozen=True)
class Window:
    """A part of a photo in linear light.

    linear:  float32 (h, w, 3), nominal linear sRGB (D65), 0 to 1, no tone curve but sRGB's undone.
    clipped: bool (h, w), a channel stood at its ceiling in the file.
    """

    linear: NDArray[np.float32]
    clipped: NDArray[np.bool_]


class Photo:
    """A readable photo. Make one with `open_photo`; every method may raise PhotoFault.

    name:     as it was given.
    size:     (width, height) as displayed, pixels.
    metadata: what the camera wrote.
    """

    def __init__(self, name: str, stream: IO[bytes], kind: str) -> None:
        self.name = name
        self._stream = stream
        self._kind = kind
        self._full: Image.Image | None = None
        with self._damage_as_fault():
            picture = self._open()
            _refuse_unfit(picture)
            self._stored_size = picture.size
            self.metadata: Metadata = metadata_of(picture.getexif())
            icc = picture.info.get("icc_profile")
        self._profile = Profile(icc) if icc else None
        self.size = displayed_size(self._stored_size, self.metadata.orientation)

    def overview(self) -> NDArray[np.uint8]:
        """uint8 (h, w, 3), sRGB-encoded, upright, at most `OVERVIEW_PX` on the longer side.

        JPEGs are decoded at a reduced scale, which averages encoded values: good for finding,
        not for measuring.
        """
        shrink = min(1.0, OVERVIEW_PX / max(self._stored_size))
        target = tuple(max(1, round(n * shrink)) for n in self._stored_size)
        # 1/8 slack: a 4032-pixel photo is decoded at a quarter, not at half
        picture = self._decode((target[0] * 7 // 8, target[1] * 7 // 8))
        small = np.asarray(picture)
        if max(picture.size) > OVERVIEW_PX:
            small = cv2.resize(small, target, interpolation=cv2.INTER_AREA)
        return np.ascontiguousarray(self._displayed(Image.fromarray(small)))

    def window(self, box: Box, longest: int) -> Window:
        """The pixels of `box` (displayed photo), reduced in linear light to at most `longest`."""
        crop = self._stored_pixels(box)
        clipped = np.any(np.asarray(crop) >= CEILING, axis=2)
        clipped_picture = upright(Image.fromarray(clipped), self.metadata.orientation)
        return _linear(np.asarray(self._displayed(crop)), np.asarray(clipped_picture), longest)

    def shown(self, box: Box, longest: int) -> NDArray[np.uint8]:
        """uint8 (h, w, 3), sRGB-encoded, upright: `box` of the displayed photo from its full
        pixels, at most `longest` on the longer side.

        It is reduced in encoded values, as the overview is: good for finding, not for measuring.
        """
        seen = np.asarray(self._displayed(self._stored_pixels(box)))
        step = -(-max(seen.shape[:2]) // longest)
        if step > 1:
            height, width = (max(1, n // step) for n in seen.shape[:2])
            seen = seen[: height * step, : width * step]
            seen = np.asarray(cv2.resize(seen, (width, height), interpolation=cv2.INTER_AREA))
        return np.ascontiguousarray(seen, np.uint8)

    def _stored_pixels(self, box: Box) -> Image.Image:
        """Full pixels of a box of the displayed photo, as they lie in the file; decoded once."""
        box = box.within(*self.size)
        if box.width < 1 or box.height < 1:
            raise ValueError(f"the window {box} lies outside a photo of {self.size}")
        if self._full is None:
            self._full = self._decode(None)
        stored = stored_box(box, self._stored_size, self.metadata.orientation)
        return self._full.crop((stored.x0, stored.y0, stored.x1, stored.y1))

    def _displayed(self, picture: Image.Image) -> Image.Image:
        if self._profile is not None:
            picture = self._profile.to_srgb(picture)
        return upright(picture, self.metadata.orientation)

    def _decode(self, at_least: tuple[int, int] | None) -> Image.Image:
        """The stored picture as RGB, a JPEG at the smallest scale not below `at_least`."""
        with self._damage_as_fault():
            picture = self._open()
            if at_least is not None:
                picture.draft("RGB", at_least)
            picture.load()
            return _without_alpha(picture)

    def _open(self) -> Image.Image:
        """The file's header; its pixels come with `load`."""
        self._stream.seek(0)
        with warnings.catch_warnings():  # our own bound speaks, in our own words
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(self._stream, formats=[self._kind_in_pillow()])
        if picture.width * picture.height > MOST_MEGAPIXELS * 1e6:
            raise _too_large()
        return picture

    @contextmanager
    def _damage_as_fault(self) -> Iterator[None]:
        """Whatever a decoder raises for damaged bytes becomes one PhotoFault."""
        try:
            yield
        except Image.DecompressionBombError as error:
            raise _too_large() from error
        except (OSError, SyntaxError, ValueError, EOFError, MemoryError, struct.error) as error:
            raise PhotoFault(
                f"The {self._kind} file is truncated or damaged.",
                "Copy it from the phone again, or take the photo again.",
            ) from error

    def _kind_in_pillow(self) -> str:
        if self._kind != "HEIC":
            return self._kind
        import pillow_heif  # only photos in HEIC pay for it

        pillow_heif.register_heif_opener()
        return "HEIF"


def open_photo(name: str) -> Photo:
    """The photo at path `name` ("-" is standard input).

    Raises PhotoFault when the file is missing, empty, of another kind than JPEG, PNG or HEIC,
    misnamed, damaged, or too large.
    """
    stream = _stream_of(name)
    kind = kind_of(stream.read(HEAD_BYTES), "" if name == STANDARD_INPUT else name)
    return Photo(name, stream, kind)


def _stream_of(name: str) -> IO[bytes]:
    if name == STANDARD_INPUT:
        return io.BytesIO(sys.stdin.buffer.read() if sys.stdin is not None else b"")
    path = Path(name)
    if not name:
        raise PhotoFault("No file is named.", "Give the name of a photo.")
    if path.is_dir():
        raise PhotoFault("This is a folder, not a photo.", "Name the photos in it.")
    if path.exists() and not path.is_file():
        raise PhotoFault("This is a device or pipe, not a photo.", "Name a photo file.")
    try:
        return io.BytesIO(path.read_bytes())
    except FileNotFoundError as error:
        raise PhotoFault("There is no such file.", "Check the name and the folder.") from error
    except (OSError, ValueError) as error:
        fault = getattr(error, "strerror", None) or str(error)
        raise PhotoFault(f"The file cannot be opened: {fault}.", "Check its rights.") from error


def _too_large() -> PhotoFault:
    return PhotoFault(
        f"The picture has more than {MOST_MEGAPIXELS} megapixels.", "Export it smaller."
    )


def _refuse_unfit(picture: Image.Image) -> None:
    if min(picture.size) < 1:
        raise PhotoFault("The picture has no pixels.", "Take the photo again.")
    if picture.mode not in ("RGB", "RGBA", "P"):
        held = "print colours (CMYK)" if picture.mode == "CMYK" else "shades of grey only"
        if picture.mode not in ("CMYK", "L", "LA", "1", "I", "I;16", "I;16B", "F"):
            held = f"colours of an unknown kind ({picture.mode})"
        raise PhotoFault(f"The picture holds {held}.", f"Give a colour photo in {READ_HERE}.")


def _without_alpha(picture: Image.Image) -> Image.Image:
    """The picture as RGB; see-through parts lie on white, as a browser would show them."""
    if picture.mode == "RGB":
        return picture
    if "A" not in picture.mode and "transparency" not in picture.info:
        return picture.convert("RGB")
    solid = picture.convert("RGBA")
    ground = Image.new("RGBA", solid.size, "white")
    return Image.alpha_composite(ground, solid).convert("RGB")


def _linear(encoded: NDArray[np.uint8], clipped: NDArray[np.bool_], longest: int) -> Window:
    """Linearise and reduce in stripes, so that no large float picture ever exists."""
    step = max(1, -(-max(encoded.shape[:2]) // longest))
    height, width = (max(1, n // step) for n in encoded.shape[:2])
    table = linear_table()
    linear = np.empty((height, width, 3), np.float32)
    rows = max(1, STRIPE_ROWS // step)
    for top in range(0, height, rows):
        bottom = min(top + rows, height)
        stripe = table[encoded[top * step : bottom * step, : width * step]]
        linear[top:bottom] = cv2.resize(stripe, (width, bottom - top), interpolation=cv2.INTER_AREA)
    burnt = clipped[: height * step, : width * step]
    blocks = burnt.reshape(height, step, width, step)
    return Window(linear, np.asarray(blocks.any(axis=(1, 3))))
