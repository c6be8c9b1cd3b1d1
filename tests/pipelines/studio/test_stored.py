"""What a phone stores: EXIF, orientation, size."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from pipelines.studio.stored import ShotData, write_jpeg


def _shot(orientation: int) -> ShotData:
    return ShotData("2026:05:12 08:04:17", (1, 120), 160, 1.8, 5.4, True, False, orientation)


def _picture() -> np.ndarray:
    picture = np.full((60, 100, 3), 128, np.uint8)
    picture[:20, :30] = (200, 40, 40)
    return picture


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_a_viewer_shows_the_picture_upright(tmp_path: Path, orientation: int) -> None:
    path = tmp_path / "a.jpg"
    write_jpeg(path, _picture(), _shot(orientation), 95, 100_000)
    with Image.open(path) as photo:
        shown = np.asarray(ImageOps.exif_transpose(photo).convert("RGB")).astype(int)
    assert shown.shape == (60, 100, 3)
    assert np.abs(shown - _picture()).mean() < 3


def test_exif_tells_the_shot(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    write_jpeg(path, _picture(), _shot(6), 90, 100_000)
    with Image.open(path) as photo:
        exif = photo.getexif()
        inner = exif.get_ifd(0x8769)
    assert (exif[0x010F], exif[0x0110], exif[0x0112]) == ("Larch Hollow", "Bench camera 1", 6)
    assert float(inner[0x829A]) == pytest.approx(1 / 120)
    assert inner[0x8827] == 160
    assert float(inner[0x829D]) == pytest.approx(1.8)


def test_too_large_is_refused_and_mirrors_too(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (300, 300, 3)).astype(np.uint8)
    with pytest.raises(ValueError, match="render it smaller"):
        write_jpeg(tmp_path / "a.jpg", noise, _shot(1), 90, 5_000)
    with pytest.raises(ValueError, match="orientation 2"):
        write_jpeg(tmp_path / "a.jpg", _picture(), _shot(2), 90, 100_000)
