"""Pictures in every format that is read, made by other programs than the ones that read them where
there are such."""

import io

import cv2
import numpy as np
import pillow_heif
import tifffile
from numpy.typing import NDArray
from PIL import Image, ImageCms

WIDTH, HEIGHT = 96, 64
ORIENTATION = 0x0112


def lopsided(width: int = WIDTH, height: int = HEIGHT) -> Image.Image:
    """A picture that looks different in each of its eight orientations."""
    y, x = np.mgrid[:height, :width]
    pixels = np.stack([255 * x / width, 255 * y / height, 0 * x + 90], axis=-1).astype(np.uint8)
    pixels[: height // 4, : width // 4] = (250, 30, 30)
    return Image.fromarray(pixels)


def busy(width: int = 160, height: int = 120) -> Image.Image:
    """A picture whose file is as long as its noise makes it."""
    rng = np.random.default_rng(1)
    return Image.fromarray(rng.integers(0, 255, (height, width, 3), dtype=np.uint8))


def bytes_of(picture: Image.Image, kind: str, **options: object) -> bytes:
    """A file of that kind as nearly lossless as the kind allows; `options` go to its writer."""
    stream = io.BytesIO()
    if kind == "HEIC":
        options = {"quality": -1, "chroma": 444, **options}
        pillow_heif.from_pillow(picture).save(stream, **options)
        return stream.getvalue()
    best: dict[str, dict[str, object]] = {
        "JPEG": {"quality": 100, "subsampling": 0},
        "WebP": {"lossless": True},
        "AVIF": {"quality": 100, "subsampling": "4:4:4", "speed": 10},
    }
    picture.save(stream, "WEBP" if kind == "WebP" else kind, **{**best.get(kind, {}), **options})
    return stream.getvalue()


def turned(orientation: int) -> bytes:
    """Exif that says no more than how the camera was held."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    return exif.tobytes()


def deep_tiff(codes: NDArray[np.uint16], **options: object) -> bytes:
    """A TIFF of 16-bit codes (h, w, 3 or 4)."""
    stream = io.BytesIO()
    if codes.shape[2] == 4:
        options = {"extrasamples": ["unassalpha"], **options}
    tifffile.imwrite(stream, codes, photometric="rgb", **options)
    return stream.getvalue()


def deep_png(codes: NDArray[np.uint16]) -> bytes:
    return cv2.imencode(".png", codes[..., [2, 1, 0, 3][: codes.shape[2]]])[1].tobytes()


def dng(
    linear: NDArray[np.float64],
    orientation: int = 1,
    neutral: tuple[float, float, float] = (1.0, 1.0, 1.0),
) -> bytes:
    """A raw photo by a camera whose own colours are linear sRGB.

    linear: float64 (h, w, 3), 0 to 1, what each sensor pixel would see through all three filters.
    """
    groups = np.empty(linear.shape[:2], np.uint16)
    for row, column, channel in ((0, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 2)):
        groups[row::2, column::2] = np.rint(65535 * linear[row::2, column::2, channel])
    from_xyz = (3.2405, -1.5371, -0.4985, -0.9693, 1.8760, 0.0416, 0.0556, -0.2040, 1.0572)
    matrix = [part for value in from_xyz for part in (round(value * 10000), 10000)]
    white = [part for value in neutral for part in (round(value * 10000), 10000)]
    tags = [
        (274, 3, 1, orientation, True),
        (271, 2, 0, "Larch Hollow", True),
        (50706, 1, 4, (1, 4, 0, 0), True),
        (50708, 2, 0, "Bench camera 1", True),
        (33421, 3, 2, (2, 2), True),
        (33422, 1, 4, (0, 1, 1, 2), True),
        (50717, 4, 1, 65535, True),
        (50721, 10, 9, matrix, True),
        (50728, 5, 3, white, True),
        (50778, 3, 1, 21, True),  # the matrix is for D65
    ]
    stream = io.BytesIO()
    tifffile.imwrite(stream, groups, photometric=32803, extratags=tags, metadata=None)
    return stream.getvalue()


def wide_gamut_profile() -> bytes:
    """An RGB profile with other primaries than sRGB: sRGB's own with red and green changed over."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = int.from_bytes(profile[128:132])
    tags = {bytes(profile[132 + 12 * i : 136 + 12 * i]): 132 + 12 * i + 4 for i in range(count)}
    red, green = (slice(tags[t], tags[t] + 8) for t in (b"rXYZ", b"gXYZ"))
    profile[red], profile[green] = profile[green], profile[red]
    return bytes(profile).replace(b"s\0R\0G\0B", b"x\0Y\0Z\0x")


def encoded(linear: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Back to 8 bits by sRGB's curve (published: IEC 61966-2-1), written out here once more."""
    low, high = 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055
    return np.rint(255 * np.where(linear <= 0.0031308, low, high)).astype(np.uint8)
