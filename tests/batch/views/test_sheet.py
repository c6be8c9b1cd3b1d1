from pathlib import Path

import pytest

from tests.batch.views.made import batch
from tests.batch.views.sheets import page_of, write_sheet
from tipvision.batch.views.sheet import FOLDER


def test_a_sheet_that_fails_leaves_the_old_one(tmp_path: Path) -> None:
    write_sheet(tmp_path, batch(10))
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}

    def broken():
        yield from batch(30)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_sheet(tmp_path, broken())
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_a_new_sheet_takes_the_place_of_the_old_and_of_nothing_else(tmp_path: Path) -> None:
    write_sheet(tmp_path, batch(10))
    (old,) = (tmp_path / FOLDER).iterdir()
    (tmp_path / FOLDER / ".part").mkdir()  # of a run that was killed
    (tmp_path / FOLDER / "notes").mkdir()
    write_sheet(tmp_path, batch(10))
    (new,) = [path for path in (tmp_path / FOLDER).iterdir() if path.name != "notes"]
    assert new != old and (tmp_path / FOLDER / "notes").is_dir()
    assert (new / "rows-1.js").is_file()
    assert f'data-files="{FOLDER}/{new.name}/"' in page_of(tmp_path)


def test_a_disk_that_fills_up_at_the_end_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_sheet(tmp_path, batch(10))
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}

    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tipvision.batch.views.sheet.write_whole", no_room)
    with pytest.raises(OSError, match="No space"):
        write_sheet(tmp_path, batch(30))
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before
    assert len(list((tmp_path / FOLDER).iterdir())) == 1
