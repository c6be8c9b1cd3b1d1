"""Arrays come back as they were written; what is no such file is told in one line."""

import numpy as np
import pytest

from pipelines.arrays import read_arrays


def test_the_arrays_asked_for_come_back(tmp_path) -> None:
    np.savez(tmp_path / "a.npz", a=np.arange(3), b=np.array(["x"]), c=np.ones(2))
    held = read_arrays(tmp_path / "a.npz", "b", "a")
    assert list(held) == ["b", "a"]
    np.testing.assert_array_equal(held["a"], [0, 1, 2])


def test_what_is_no_such_file_is_told_by_name(tmp_path) -> None:
    np.savez_compressed(tmp_path / "whole.npz", a=np.arange(3000))
    whole = (tmp_path / "whole.npz").read_bytes()
    np.save(tmp_path / "one.npy", np.arange(3))
    np.savez(tmp_path / "object.npz", a=np.array([{}], dtype=object))
    spoilt = bytearray(whole)
    spoilt[len(whole) // 2] ^= 255
    contents = {"empty": b"", "text": b"hello", "cut": whole[:-40], "spoilt": bytes(spoilt)}
    for name, content in contents.items():
        (tmp_path / name).write_bytes(content)
    for name in (*contents, "one.npy", "object.npz"):
        with pytest.raises(ValueError, match=f"{name} is no whole .npz file. Make it again"):
            read_arrays(tmp_path / name, "a")
    with pytest.raises(ValueError, match=r"gone\.npz is not there"):
        read_arrays(tmp_path / "gone.npz", "a")
    with pytest.raises(ValueError, match=r"whole\.npz lacks b: it is another file"):
        read_arrays(tmp_path / "whole.npz", "b")
