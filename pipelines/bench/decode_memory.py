"""Peak memory of reading the largest photo that is read of each kind.

`python -m pipelines.bench.decode_memory [KIND …]`. Each picture is made in a process of its own and
read in another one, whose peak the operating system counts: the whole reading, then a window over
all of it and one so small that it asks for the full pixels. Printed beside it: bytes a pixel over
the same reading of a small picture, which is where the figures of `tipvision/photo/memory.py` come
from.
"""

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Callable
from multiprocessing import get_context
from pathlib import Path

import cv2
import numpy as np
import pillow_heif
import tifffile
from numpy.typing import NDArray
from PIL import Image

from pipelines.bench.print_profile import print_profile
from pipelines.bench.whole_process import used_by

MOST_MB = 600
SMALL_MEGAPIXELS = 1.0
READS = (
    "import sys; from tipvision.reading import read; from tipvision.photo.photo import open_photo; "
    "from tipvision.photo.box import Box; name = sys.argv[1]; reading, *_ = read(name); "
    "assert reading.outcome != 'unreadable', reading.reasons; photo = open_photo(name); "
    "photo.overview(); photo.window(Box(0, 0, *photo.size), 640); "
    "photo.window(Box(0, 0, 600, 600), 640); print(photo.decodes)"
)
Pixels = NDArray[np.uint8]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("kinds", nargs="*", metavar="KIND", help=", ".join(MADE))
    worst = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for kind in parser.parse_args().kinds or MADE:
            megapixels, _ = MADE[kind]
            small, _ = peak_of(made(Path(folder), kind, SMALL_MEGAPIXELS))
            peak, decodes = peak_of(made(Path(folder), kind, megapixels))
            a_pixel = (peak - small) / (megapixels - SMALL_MEGAPIXELS)
            print(
                f"{kind}: {megapixels:.0f} megapixels, decoded at {decodes}: peak {peak:.0f} MB, "
                f"{a_pixel:.1f} bytes a pixel",
                flush=True,
            )
            worst = max(worst, peak)
    print(f"worst {worst:.0f} MB (limit {MOST_MB})")
    return int(worst > MOST_MB)


def made(folder: Path, kind: str, megapixels: float) -> Path:
    """A picture of that kind, made in a process of its own: a child's peak memory is counted from
    what its parent held when it was started."""
    with get_context("spawn").Pool(1) as pool:
        return pool.apply(_made, (folder, kind, megapixels))


def peak_of(path: Path) -> tuple[float, str]:
    """Peak memory in MB of a process that reads the photo, and the scales of its decodes."""
    child = subprocess.Popen([sys.executable, "-c", READS, str(path)], stdout=subprocess.PIPE)
    assert child.stdout is not None
    said = child.stdout.read().decode().strip()
    usage = used_by(child)
    path.unlink()
    return usage.ru_maxrss / 1024, said


def _made(folder: Path, kind: str, megapixels: float) -> Path:
    height = round((megapixels * 1e6 * 3 / 4) ** 0.5) // 2 * 2
    width = int(megapixels * 1e6 / height)
    y = np.linspace(30, 220, height, dtype=np.float32)[:, np.newaxis]
    x = np.linspace(30, 220, width, dtype=np.float32)[np.newaxis]
    pixels = np.empty((height, width, 3), np.uint8)
    pixels[..., 0], pixels[..., 1], pixels[..., 2] = y, x, 255 - y
    path = folder / f"{kind.replace(' ', '-')}{megapixels:.0f}"
    MADE[kind][1](pixels, path)
    return path


def _by_pillow(kind: str, **options: object) -> Callable[[Pixels, Path], None]:
    def save(pixels: Pixels, path: Path) -> None:
        Image.MAX_IMAGE_PIXELS = None
        Image.fromarray(pixels).save(path, kind, **options)

    return save


def _cmyk(pixels: Pixels, path: Path) -> None:
    inks = Image.fromarray(pixels).convert("CMYK")
    inks.save(path, "JPEG", icc_profile=print_profile())


def _deep_tiff(pixels: Pixels, path: Path) -> None:
    tifffile.imwrite(path, pixels.astype(np.uint16) * 257, photometric="rgb")


def _deep_png(pixels: Pixels, path: Path) -> None:
    path.write_bytes(cv2.imencode(".png", pixels.astype(np.uint16) * 257)[1].tobytes())


def _heic(pixels: Pixels, path: Path) -> None:
    pillow_heif.from_pillow(Image.fromarray(pixels)).save(path, quality=40)


def _dng(pixels: Pixels, path: Path) -> None:
    groups = np.zeros(pixels.shape[:2], np.uint16)
    for row, column, channel in ((0, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 2)):
        groups[row::2, column::2] = pixels[row::2, column::2, channel] * 200
    tags = [
        (50706, 1, 4, (1, 4, 0, 0), True),
        (33421, 3, 2, (2, 2), True),
        (33422, 1, 4, (0, 1, 1, 2), True),
    ]
    tifffile.imwrite(path, groups, photometric=32803, extratags=tags, metadata=None)


MADE: dict[str, tuple[float, Callable[[Pixels, Path], None]]] = {
    "JPEG": (100, _by_pillow("JPEG")),
    "progressive JPEG": (100, _by_pillow("JPEG", progressive=True)),
    "CMYK JPEG": (100, _cmyk),
    "PNG": (100, _by_pillow("PNG", compress_level=1)),
    "TIFF": (100, _by_pillow("TIFF")),
    "TIFF with LZW": (90, _by_pillow("TIFF", compression="tiff_lzw")),
    "16-bit PNG": (55, _deep_png),
    "16-bit TIFF": (55, _deep_tiff),
    "WebP": (74, _by_pillow("WEBP", quality=50, method=0)),
    "AVIF": (49, _by_pillow("AVIF", quality=50, speed=10)),
    "HEIC": (85, _heic),
    "DNG in full": (18, _dng),
    "DNG": (85, _dng),
}
"""Most megapixels of each kind that are read, and how such a file is written."""


if __name__ == "__main__":
    sys.exit(main())
