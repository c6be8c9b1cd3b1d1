"""Photos for the benches of `tipvision batch`: many distinct files out of a few pictures."""

import io
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from PIL import Image

from tipvision.shipped import demo_folder

COMMENT = b"\xff\xfe"  # JPEG marker of a comment segment (ITU-T T.81, table B.1)
START = b"\xff\xd8"
LARGE = (1024, 768)  # 0.8 megapixels
LARGE_ONES = 24


def distinct(jpeg: bytes, number: int) -> bytes:
    """The same picture as another file: a comment segment with the number goes before all else."""
    words = b"%012d" % number
    return START + COMMENT + (len(words) + 2).to_bytes(2, "big") + words + jpeg.removeprefix(START)


@cache
def pictures() -> Sequence[bytes]:
    """The small photos of the labelled sample in a checkout, else the demo photos."""
    sample = Path(__file__).parents[2] / "synthetic_images" / "sample"
    folder = sample if sample.is_dir() else demo_folder()
    return tuple(path.read_bytes() for path in sorted(folder.glob("*[0-9a-z].jpg")))


@cache
def large_pictures() -> Sequence[bytes]:
    """Some of `pictures` enlarged to `LARGE`."""
    of_all = pictures()
    step = max(1, len(of_all) // LARGE_ONES)
    return tuple(map(_enlarged, of_all[::step]))


def _enlarged(jpeg: bytes) -> bytes:
    with Image.open(io.BytesIO(jpeg)) as picture:
        held = io.BytesIO()
        picture.resize(LARGE, Image.Resampling.BICUBIC).save(held, "JPEG", quality=90)
    return held.getvalue()


def folder_of(folder: Path, count: int) -> Path:
    """Fill a folder with so many distinct photos; returns it."""
    folder.mkdir(parents=True, exist_ok=True)
    of_all = pictures()
    for number in range(count):
        photo = distinct(of_all[number % len(of_all)], number)
        (folder / f"{number:06}.jpg").write_bytes(photo)
    return folder
