"""Pictures of a set: read wholly, or refused by name."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pipelines.studio.picture_files import PictureError, read_picture

NOISE = np.random.default_rng(2).integers(0, 256, (48, 64, 3), dtype=np.uint8)


@pytest.mark.parametrize("name", ["a.png", "a.jpg"])
def test_a_whole_picture_is_read_and_a_torn_one_refused(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    Image.fromarray(NOISE).save(path)
    assert read_picture(path).size == (64, 48)
    whole = path.read_bytes()
    for cut in (0, 5, len(whole) // 2, len(whole) - 200):
        path.write_bytes(whole[:cut])
        with pytest.raises(PictureError, match=rf"{name} is no whole picture$"):
            read_picture(path)


def test_text_and_nothing_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    with pytest.raises(PictureError, match=r"a\.jpg is missing$"):
        read_picture(path)
    path.write_text("no picture")
    with pytest.raises(PictureError, match=r"a\.jpg is no whole picture$"):
        read_picture(path)


def test_bytes_changed_end_in_no_other_error(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.fromarray(NOISE[:12, :12]).save(path)
    whole = path.read_bytes()
    refused = 0
    for at in range(len(whole)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 0x55]) + whole[at + 1 :])
        try:
            read_picture(path)
        except PictureError:
            refused += 1
    assert refused > len(whole) / 2
