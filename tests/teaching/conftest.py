"""A shop's own folder for each test, and photos of its plugs."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

SAMPLE = Path(__file__).resolve().parents[2] / "synthetic_images" / "sample"


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch) -> Path:
    """`TIPVISION_HOME`, empty."""
    folder = tmp_path / "home"
    monkeypatch.setenv("TIPVISION_HOME", str(folder))
    return folder


@pytest.fixture
def photo():
    """Write a photo of coarse noise that is its own; gives its path."""

    def write(path: Path, seed: int, size: tuple[int, int] = (128, 96)) -> Path:
        path.parent.mkdir(parents=True, exist_ok=True)
        coarse = np.random.default_rng(seed).integers(0, 256, (12, 16, 3), np.uint8)
        Image.fromarray(coarse).resize(size, Image.Resampling.BICUBIC).save(path, quality=90)
        return path

    return write
