from pathlib import Path

import pytest

from tipvision.batch.views.streamed import UNFINISHED, streamed


def test_a_file_is_there_once_all_of_it_is(tmp_path: Path) -> None:
    path = tmp_path / "long.txt"
    with streamed(path) as stream:
        stream.write(b"one")
        assert not path.exists()
        stream.write(b" two")
    assert path.read_bytes() == b"one two"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("fault", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_one_that_fails_leaves_the_old(tmp_path: Path, fault: BaseException) -> None:
    path = tmp_path / "long.txt"
    path.write_bytes(b"old")

    def write() -> None:
        with streamed(path) as stream:
            stream.write(b"new")
            raise fault

    with pytest.raises(type(fault)):
        write()
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_what_a_killed_run_left_is_written_over_and_not_followed(tmp_path: Path) -> None:
    path, precious = tmp_path / "long.txt", tmp_path / "precious"
    precious.write_bytes(b"kept")
    (tmp_path / f"{UNFINISHED}long.txt").symlink_to(precious)
    with streamed(path) as stream:
        stream.write(b"new")
    assert path.read_bytes() == b"new" and precious.read_bytes() == b"kept"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["long.txt", "precious"]
