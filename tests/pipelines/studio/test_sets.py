"""Folders of renders: resumed when they are the same set, refused when they are not."""

from pathlib import Path

import pytest

from pipelines.studio import sets
from pipelines.studio.sets import SetError, Tally, claim, file_of, render_set


def test_a_folder_keeps_to_one_set(tmp_path: Path) -> None:
    claim(tmp_path / "a", "train", 16, 32)
    claim(tmp_path / "a", "train", 16, 32)
    with pytest.raises(SetError, match="other look"):
        claim(tmp_path / "a", "tune", 16, 32)
    with pytest.raises(SetError, match="other wide, plug"):
        claim(tmp_path / "a", "train", 8, 16)


def test_what_is_there_is_not_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[int] = []

    def one(_: str, index: int, out: Path, *__: object) -> sets._Shot:
        made.append(index)
        if index == 2:
            return sets._Shot(failure="train 2: broke")
        file_of(out, index).write_bytes(b"")
        return sets._Shot(firing_ends=2)

    monkeypatch.setattr(sets, "_one", one)
    first = render_set("train", range(3), tmp_path, 1, 4, 4, 1e9)
    assert (first.photos, first.firing_ends, first.failed) == (2, 4, ("train 2: broke",))
    assert first.told().splitlines()[:2] == ["train 2: broke", "2 made, 1 failed"]
    again = render_set("train", range(4), tmp_path, 1, 4, 4, 1e9)
    assert (again.photos, again.failed) == (1, ("train 2: broke",))
    assert made == [0, 1, 2, 2, 3]


def test_no_photo_is_begun_when_time_is_up(tmp_path: Path) -> None:
    tally = render_set("train", range(3), tmp_path, 1, 4, 4, -1.0)
    assert (tally.photos, tally.firing_ends, tally.failed) == (0, 0, ())


def test_speed_is_counted_from_the_first_photo() -> None:
    # 10 s to start, then 2 a second; 590 s of ten minutes are left for photos.
    tally = Tally(photos=101, firing_ends=202, failed=(), seconds=60.0, first=10.0)
    assert "2.00 photos a second" in tally.told()
    assert "about 1180 photos, 2360 firing ends" in tally.told()
