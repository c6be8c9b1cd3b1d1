"""Sets of photos are read as they lie, or refused with what is wrong."""

import numpy as np
import pytest

from pipelines.tip_net.listing import SetFault, listed, read_pair
from tests.pipelines.tip_net.made_set import write_set


def test_every_manifest_below_the_folders_is_read(tmp_path):
    write_set(tmp_path / "a" / "0", count=2, bare=1)
    write_set(tmp_path / "a" / "1", count=1, bare=0)
    write_set(tmp_path / "b", count=1, bare=1)
    entries = listed([tmp_path / "a", tmp_path / "b"])
    assert [len(entry.truth.plugs) for entry in entries] == [1, 1, 0, 1, 1, 0]
    shown, mask = read_pair(entries[0])
    assert shown.shape == (120, 160, 3)
    assert shown[mask == 1].mean(axis=0) == pytest.approx([240, 30, 30], abs=12)  # RGB, not BGR
    assert not read_pair(entries[2])[1].any()


def test_what_is_not_there_is_said(tmp_path):
    with pytest.raises(SetFault, match="No manifest"):
        listed([tmp_path])
    entries = listed([write_set(tmp_path / "a", count=1, bare=0)])
    (tmp_path / "a" / "masks" / "0.png").unlink()
    with pytest.raises(SetFault, match=r"0\.png is missing"):
        read_pair(entries[0])
    (tmp_path / "a" / "0.jpg").write_bytes(b"nothing")
    with pytest.raises(SetFault, match="cannot be read"):
        read_pair(entries[0])


def test_a_mask_of_another_size_is_refused(tmp_path):
    entries = listed([write_set(tmp_path / "a", count=1, bare=0)])
    import cv2

    cv2.imwrite(str(entries[0].mask), np.zeros((60, 80), np.uint8))
    with pytest.raises(SetFault, match="not of its photo's size"):
        read_pair(entries[0])
