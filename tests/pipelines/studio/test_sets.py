"""Folders of renders: resumed when they are the same set, refused when they are not."""

import os
from pathlib import Path

import numpy as np
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


def test_renders_of_which_nothing_says_what_they_are_are_refused(tmp_path: Path) -> None:
    claim(tmp_path, "train", 16, 32)
    file_of(tmp_path, 0).touch()
    (tmp_path / sets.SETTINGS_FILE).unlink()
    with pytest.raises(SetError, match=r"holds renders, but no set\.json .* Name another folder"):
        claim(tmp_path, "train", 16, 32)


@pytest.mark.parametrize("held", [b"", b"{torn", b"\xff\xfe\0", b"[1]"])
def test_a_damaged_settings_file_is_named(tmp_path: Path, held: bytes) -> None:
    (tmp_path / sets.SETTINGS_FILE).write_bytes(held)
    with pytest.raises(SetError, match=r"set\.json is damaged\. .*name another folder") as error:
        claim(tmp_path, "train", 16, 32)
    assert "\n" not in str(error.value)


def test_numbers_past_the_look_are_refused_before_anything_is_made(tmp_path: Path) -> None:
    with pytest.raises(SetError, match=r"look train has photos 0 to .* Lower --first or --count"):
        render_set("train", range(10**9, 10**9 + 2), tmp_path / "a", 1, 4, 4, 1e9)
    assert not (tmp_path / "a").exists()


def _renders(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Numbers of the photos that are made from now on, each an empty zip of the right names."""
    made: list[int] = []

    def one(_: str, out: Path, __: object, ___: float, index: int) -> sets._Shot:
        made.append(index)
        if index == 2:
            return sets._Shot(failure="train 2: broke")
        np.savez(file_of(out, index), bands=np.zeros(9), mask=np.zeros(9), told=np.zeros(9))
        return sets._Shot(firing_ends=2)

    monkeypatch.setattr(sets, "_one", one)
    return made


def test_what_is_there_is_not_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = _renders(monkeypatch)
    first = render_set("train", range(3), tmp_path, 1, 4, 4, 1e9)
    assert (first.photos, first.firing_ends, first.failed) == (2, 4, ("train 2: broke",))
    assert first.told().splitlines()[:2] == ["train 2: broke", "2 made, 1 failed"]
    again = render_set("train", range(4), tmp_path, 1, 4, 4, 1e9)
    assert (again.photos, again.failed) == (1, ("train 2: broke",))
    assert made == [0, 1, 2, 2, 3]


def test_what_is_damaged_is_made_again_and_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    made = _renders(monkeypatch)
    render_set("train", (0, 1, 3, 4), tmp_path, 1, 4, 4, 1e9)
    torn, garbled = file_of(tmp_path, 1), file_of(tmp_path, 4)
    torn.write_bytes(torn.read_bytes()[:-40])
    garbled.write_bytes(garbled.read_bytes().replace(b"\0" * 30, b"\1" * 30))
    capsys.readouterr()
    render_set("train", (0, 1, 3, 4), tmp_path, 1, 4, 4, 1e9)
    assert made == [0, 1, 3, 4, 1, 4]
    told = capsys.readouterr().out.splitlines()
    assert told[:3] == [
        f"{torn} is damaged: it is rendered again",
        f"{garbled} is damaged: it is rendered again",
        "train: 2 of 4 to render, 1 processes",
    ]


def test_no_photo_is_begun_when_time_is_up_and_those_left_are_counted(tmp_path: Path) -> None:
    tally = render_set("train", range(3), tmp_path, 1, 4, 4, -1.0)
    assert (tally.photos, tally.firing_ends, tally.failed, tally.late) == (0, 0, (), 3)
    assert "Time was up: 3 of those asked for are still to be rendered. The same command goes" in (
        tally.told()
    )


def test_a_process_ended_from_outside_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sets, "_one", _killed)
    with pytest.raises(SetError, match="Lower --workers"):
        render_set("train", range(2), tmp_path, 2, 4, 4, 1e9)


def _killed(*_: object) -> None:
    os._exit(9)


def test_speed_is_counted_from_the_first_photo() -> None:
    # 10 s to start, then 2 a second; 590 s of ten minutes are left for photos.
    tally = Tally(photos=101, firing_ends=202, failed=(), seconds=60.0, first=10.0)
    assert "2.00 photos a second" in tally.told()
    assert "about 1180 photos, 2360 firing ends" in tally.told()
