"""Faults are told before a training starts, a line each."""

import shutil

import numpy as np

from tipvision.condition.condition import CONDITIONS
from tipvision.teaching.checks import NO_PHOTO, checked, missing, plugs_of, too_few
from tipvision.teaching.photos import Listing, listed


def test_an_unreadable_photo_is_left_out_and_told(tmp_path, photo):
    for k in range(5):
        photo(tmp_path / "normal" / f"{k}.jpg", k)
        photo(tmp_path / "unused" / f"{k}.jpg", 10 + k)
    (tmp_path / "normal" / "torn.jpg").write_bytes(b"\xff\xd8\xff\xe0 no more")
    seen = []
    found = checked(listed(tmp_path), seen.append)
    assert not found.faults
    assert len(found.photos) == 10
    assert len(seen) == 11
    (note,) = found.notes
    assert note.startswith("normal/torn.jpg: left out.")


def test_near_copies_count_as_one_plug(tmp_path, photo):
    for k in range(6):
        photo(tmp_path / "normal" / f"{k}.jpg", k)
    photo(tmp_path / "normal" / "copy.jpg", 3, (64, 48))
    found = checked(listed(tmp_path))
    assert len(np.unique(found.plug)) == 6
    assert "1 photo(s) are near copies" in found.notes[0]


def test_copies_with_different_labels_are_both_left_out(tmp_path, photo):
    for k in range(5):
        photo(tmp_path / "normal" / f"{k}.jpg", k)
        photo(tmp_path / "unused" / f"{k + 5}.jpg", 10 + k)
    shutil.copy(tmp_path / "normal" / "2.jpg", tmp_path / "unused" / "two.jpg")
    found = checked(listed(tmp_path))
    assert {one.path.name for one in found.photos}.isdisjoint({"2.jpg", "two.jpg"})
    assert "look the same" in found.notes[0]
    assert found.faults == (
        "Too few plugs to learn from, 5 of each condition are the least: normal 4. Add photos of "
        "more plugs, or take these conditions away.",
    )


def test_counts_are_of_plugs_not_of_photos():
    labels = ["normal"] * 6 + ["unused"] * 6
    plug = np.array([0, 0, 0, 1, 1, 1, 2, 3, 4, 5, 6, 7])
    assert plugs_of(labels, plug)["normal"] == 2
    (fault,) = too_few(labels, plug)
    assert "normal 2. " in fault
    assert missing(labels, plug).endswith(
        "20 of each condition are needed: normal 18, dry_black 20, wet_black 20, chalk_white 20,"
        " unused 14."
    )
    assert missing(list(CONDITIONS) * 20, np.arange(100)) == ""


def test_conditions_with_too_few_plugs_share_one_line():
    labels = ["normal"] * 2 + ["unused"] * 3 + ["dry_black"] * 5
    (fault,) = too_few(labels, np.arange(10))
    assert ": normal 2, unused 3. " in fault


def test_one_condition_alone_teaches_nothing():
    faults = too_few(["normal"] * 30, np.arange(30))
    assert faults == ["Photos of at least two conditions are needed to learn what parts them."]


def test_a_folder_without_photos_is_told_as_that():
    assert checked(Listing((), (), ())).faults == (NO_PHOTO,)
