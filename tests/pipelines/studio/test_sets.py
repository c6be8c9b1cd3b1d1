"""Folders of renders: resumed when they are the same set, refused when they are not."""

from pathlib import Path

import pytest

from pipelines.studio import sets
from pipelines.studio.sets import SetError, claim, file_of, render_set


def test_a_folder_keeps_to_one_set(tmp_path: Path) -> None:
    claim(tmp_path / "a", "train", 16, 32)
    claim(tmp_path / "a", "train", 16, 32)
    with pytest.raises(SetError, match="other look"):
        claim(tmp_path / "a", "tune", 16, 32)
    with pytest.raises(SetError, match="other wide, plug"):
        claim(tmp_path / "a", "train", 8, 16)


def test_what_is_there_is_not_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[int] = []

    def one(_: str, index: int, out: Path, *__: int) -> str | None:
        made.append(index)
        if index == 2:
            return "train 2: broke"
        file_of(out, index).write_bytes(b"")
        return None

    monkeypatch.setattr(sets, "_one", one)
    first = render_set("train", range(3), tmp_path, 1, 4, 4, 1e9)
    assert first == (2, ["train 2: broke"])
    again = render_set("train", range(4), tmp_path, 1, 4, 4, 1e9)
    assert again == (1, ["train 2: broke"])
    assert made == [0, 1, 2, 2, 3]


def test_no_photo_is_begun_when_time_is_up(tmp_path: Path) -> None:
    assert render_set("train", range(3), tmp_path, 1, 4, 4, -1.0) == (0, [])
