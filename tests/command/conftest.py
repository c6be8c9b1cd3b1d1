"""A way to run the command line inside the test process, and files to run it on."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from tipvision.command import main
from tipvision.shipped import demo_folder

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys) -> Run:
    """Run `tipvision …`; returns (exit status, standard output, standard error)."""

    def go(*arguments: object) -> tuple[int, str, str]:
        try:
            status = main([str(a) for a in arguments])
        except SystemExit as stop:  # argparse's own way out
            status = int(stop.code or 0)
        return status, *capsys.readouterr()

    return go


@pytest.fixture(scope="session")
def demo() -> dict[str, Path]:
    """The demo photos by name."""
    return {path.stem: path for path in sorted(demo_folder().glob("*.jpg"))}


@pytest.fixture
def shop_folder(tmp_path, demo) -> list[str]:
    """A photo, a missing file, a text named .jpg, an empty file, a 12-megapixel HEIC, a photo."""
    first, *_, last = demo.values()
    (tmp_path / "letter.jpg").write_text("Dear workshop")
    (tmp_path / "empty.jpg").touch()
    ramp = np.linspace(0, 255, 4032 * 3024 * 3).astype(np.uint8).reshape(3024, 4032, 3)
    pillow_heif.from_pillow(Image.fromarray(ramp)).save(tmp_path / "twelve.heic", quality=40)
    names = ["gone.jpg", "letter.jpg", "empty.jpg", "twelve.heic"]
    return [str(first), *(str(tmp_path / name) for name in names), str(last)]
