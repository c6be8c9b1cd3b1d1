"""The photo in a page: small JPEGs as data URIs, and the outlines of the noses over them."""

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tipvision.photo.box import Box
from tipvision.tip.tip import Tip

PHOTO_SIDE, CLOSE_UP_SIDE = 720, 460  # pixels, longest side
PHOTO_BYTES, CLOSE_UP_BYTES = 120_000, 70_000  # of the data URI
_QUALITIES = (86, 78, 68, 56, 44)
_URI = "data:image/jpeg;base64,"
_AROUND = 0.35  # of the nose's size, shown around it in the close-up


@dataclass(frozen=True)
class Figure:
    """A picture with outlines: `box` is the part of the displayed photo that it shows.

    paths:   SVG path data, one for each nose, in displayed pixels.
    numbers: (x, y, number) to write beside the noses, where there are several.
    """

    uri: str
    box: Box
    paths: tuple[str, ...]
    numbers: tuple[tuple[float, float, int], ...] = ()


def whole_photo(
    picture: NDArray[np.uint8], tips: Sequence[Tip], size: tuple[int, int] | None
) -> Figure:
    """The whole photo. `picture` is uint8 RGB (h, w, 3), the displayed photo or a reduction of it;
    `size` is the (width, height) that the outlines refer to, by default the picture's own."""
    height, width = picture.shape[:2]
    width, height = size or (width, height)
    numbers: list[tuple[float, float, int]] = []
    if len(tips) > 1:
        for number, tip in enumerate(tips, 1):
            points = np.concatenate(tip.outlines)
            numbers.append((float(points[:, 0].mean()), float(points[:, 1].min()), number))
    return Figure(
        data_uri(picture, PHOTO_SIDE, PHOTO_BYTES),
        Box(0, 0, width, height),
        tuple(path_of(tip.outlines) for tip in tips),
        tuple(numbers),
    )


def close_up(picture: NDArray[np.uint8], tip: Tip, size: tuple[int, int] | None) -> Figure | None:
    """The nose and a little around it; None where the outline encloses nothing of the picture."""
    height, width = picture.shape[:2]
    shown_width, shown_height = size or (width, height)
    points = np.concatenate(tip.outlines) if tip.outlines else np.empty((0, 2))
    if len(points) == 0:
        return None
    low, high = points.min(axis=0), points.max(axis=0)
    half = (0.5 + _AROUND) * float((high - low).max())
    middle = (low + high) / 2
    scale = width / shown_width, height / shown_height
    x0, y0 = (int(np.floor(k)) for k in (middle - half) * scale)
    x1, y1 = (int(np.ceil(k)) for k in (middle + half) * scale)
    cut = Box(x0, y0, x1, y1).within(width, height)
    if cut.width < 1 or cut.height < 1:
        return None
    part = picture[cut.y0 : cut.y1, cut.x0 : cut.x1]
    box = Box(
        round(cut.x0 / scale[0]),
        round(cut.y0 / scale[1]),
        round(cut.x1 / scale[0]),
        round(cut.y1 / scale[1]),
    )
    return Figure(data_uri(part, CLOSE_UP_SIDE, CLOSE_UP_BYTES), box, (path_of(tip.outlines),))


def path_of(outlines: Sequence[NDArray[np.float64]]) -> str:
    """SVG path data of rings, each float64 (n, 2)."""
    rings = (" L".join(f"{x:.1f} {y:.1f}" for x, y in ring) for ring in outlines if len(ring))
    return " ".join(f"M{ring} Z" for ring in rings)


def data_uri(picture: NDArray[np.uint8], side: int, most: int) -> str:
    """`picture` (uint8 RGB, (h, w, 3)) as a JPEG data URI of at most `most` characters.

    Neither side is longer than `side` pixels. Nothing of the file it came from goes along.
    """
    return _URI + base64.b64encode(_small_jpeg(picture, side, most)).decode("ascii")


def png_uri(png: bytes) -> str:
    """The bytes of a PNG file as a data URI."""
    return "data:image/png;base64," + base64.b64encode(png).decode("ascii")


def jpeg_of(figure: Figure) -> bytes:
    """The bytes of the JPEG file in a figure."""
    return base64.b64decode(figure.uri.removeprefix(_URI))


def _small_jpeg(picture: NDArray[np.uint8], side: int, most: int) -> bytes:
    image = Image.fromarray(np.ascontiguousarray(picture), "RGB")
    image.thumbnail((side, side), Image.Resampling.LANCZOS)
    while True:
        for quality in _QUALITIES:
            buffer = BytesIO()
            image.save(buffer, "JPEG", quality=quality, optimize=True)
            if len(_URI) + 4 * ((buffer.tell() + 2) // 3) <= most:
                return buffer.getvalue()
        image = image.resize((max(image.width * 3 // 4, 1), max(image.height * 3 // 4, 1)))
