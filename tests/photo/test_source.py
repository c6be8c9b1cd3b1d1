"""Bytes come from files, pipes and memory, and never more of them than are bounded."""

import io
import os
import types

import pytest

from tests.photo.pictures import busy, bytes_of
from tipvision.photo import source
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import open_photo, photo_from


def test_a_missing_file_a_folder_and_no_name_are_faults(tmp_path):
    for name, fault in ((tmp_path / "gone.jpg", "no such file"), (tmp_path, "folder"), ("", "No")):
        with pytest.raises(PhotoFault, match=fault):
            open_photo(str(name))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such pipes here")
def test_endless_files_are_not_begun(tmp_path):
    os.mkfifo(tmp_path / "pipe.jpg")
    for name in (str(tmp_path / "pipe.jpg"), "/dev/zero"):
        with pytest.raises(PhotoFault, match="device or pipe"):
            open_photo(name)


def test_a_file_of_too_many_bytes_is_refused_without_reading_it(tmp_path):
    path = tmp_path / "huge.jpg"
    with path.open("wb") as file:
        file.truncate(10**12)  # sparse: it takes no room
    with pytest.raises(PhotoFault, match="more than 400 million bytes"):
        open_photo(str(path))


def test_standard_input_is_read_up_to_the_bound(monkeypatch):
    monkeypatch.setattr(source, "MOST_BYTES", 5_000)
    asked = []

    def endless(count: int) -> bytes:
        asked.append(count)
        return bytes(count)

    piped = types.SimpleNamespace(buffer=types.SimpleNamespace(read=endless))
    monkeypatch.setattr(source.sys, "stdin", piped)
    with pytest.raises(PhotoFault, match="bytes"):
        open_photo("-")
    assert asked == [5_001]
    with pytest.raises(PhotoFault, match="bytes"):
        photo_from("held.jpg", bytes(5_001))


def test_a_file_that_holds_more_than_its_system_says_is_read_whole(tmp_path, monkeypatch):
    (tmp_path / "p").write_bytes(bytes(range(100)))
    for told in (0, 10, 99, 100, 101):
        said = types.SimpleNamespace(st_size=told)
        monkeypatch.setattr(source.os, "fstat", lambda _, said=said: said)
        assert source.stream_of(str(tmp_path / "p")).read() == bytes(range(100))
    monkeypatch.setattr(source, "MOST_BYTES", 60)
    monkeypatch.setattr(source.os, "fstat", lambda _: types.SimpleNamespace(st_size=0))
    with pytest.raises(PhotoFault, match="bytes"):
        source.stream_of(str(tmp_path / "p"))


def test_a_photo_comes_alike_from_a_file_a_larger_file_a_pipe_and_memory(tmp_path, monkeypatch):
    content = bytes_of(busy(), "PNG")
    path = tmp_path / "p.png"
    path.write_bytes(content)
    piped = types.SimpleNamespace(buffer=io.BytesIO(content))
    monkeypatch.setattr(source.sys, "stdin", piped)
    from_file = open_photo(str(path)).overview()
    monkeypatch.setattr(source, "HELD_BYTES", 100)
    for photo in (open_photo(str(path)), open_photo("-"), photo_from("p.png", content)):
        assert (photo.overview() == from_file).all()


def test_a_name_that_is_too_long_is_told_like_any_other() -> None:
    with pytest.raises(PhotoFault, match="cannot be opened"):
        open_photo("a" * 300 + ".jpg")
