"""Which photos are taken, what they are labelled, and what is said of the others."""

import pytest

from tipvision.teaching.photos import LabelsError, listed, pattern_of


def test_sub_folders_are_labels_and_hidden_files_are_not_photos(tmp_path, photo):
    photo(tmp_path / "normal" / "a.jpg", 1)
    photo(tmp_path / "Dry Black" / "b.JPG", 2)
    photo(tmp_path / "normal" / ".c.jpg", 3)
    (tmp_path / "normal" / "notes.txt").touch()
    photo(tmp_path / "loose.jpg", 4)
    found = listed(tmp_path)
    told = {(one.path.name, one.label) for one in found.photos}
    assert told == {("a.jpg", "normal"), ("b.JPG", "dry_black")}
    assert not found.faults
    assert found.notes == (
        "2 file(s) that are no photo, or lie in no sub-folder, were passed over.",
    )


def test_an_unknown_sub_folder_is_a_fault_that_names_the_conditions(tmp_path, photo):
    photo(tmp_path / "oily" / "a.jpg", 1)
    (tmp_path / "empty").mkdir()
    (fault,) = listed(tmp_path).faults
    assert "oily" in fault and "wet_black" in fault and "1 photo)" in fault


def test_names_tell_the_plug_and_folders_keep_plugs_apart(tmp_path, photo):
    for folder in ("normal", "unused"):
        for name in ("tb-07-a.jpg", "tb-07-b.jpg", "tb-08-a.jpg"):
            photo(tmp_path / folder / name, 1)
    plugs = [one.plug for one in listed(tmp_path, plug_names="{plug}-*").photos]
    assert plugs == [f"{f}/{p}" for f in ("normal", "unused") for p in ("tb-07", "tb-07", "tb-08")]
    assert len({one.plug for one in listed(tmp_path).photos}) == 6


@pytest.mark.parametrize("form", ["*-*", "{plug}{plug}"])
def test_a_form_that_does_not_tell_the_plug_is_refused(form):
    with pytest.raises(LabelsError, match="where the plug stands"):
        pattern_of(form)


def test_a_form_takes_its_signs_literally():
    assert pattern_of("({plug})_*").fullmatch("(a.b)_2")[1] == "a.b"


def test_a_csv_file_tells_label_and_plug(tmp_path, photo):
    for name in ("1.jpg", "2.jpg", "3.jpg"):
        photo(tmp_path / name, 1)
    labels = tmp_path / "labels.csv"
    labels.write_text(
        "\ufeffPhoto,condition,plug,who\n1.jpg,normal,x,me\n2.jpg, Normal ,x\n3.jpg,unused\n"
    )
    found = listed(tmp_path, labels)
    assert not found.faults
    assert [(one.path.name, one.label, one.plug) for one in found.photos] == [
        ("1.jpg", "normal", "x"),
        ("2.jpg", "normal", "x"),
        ("3.jpg", "unused", "3.jpg"),
    ]


def test_faults_of_a_csv_file_are_lines_with_their_numbers(tmp_path, photo):
    for name in ("1.jpg", "2.jpg", "4.jpg"):
        photo(tmp_path / name, 1)
    labels = tmp_path / "labels.csv"
    labels.write_text(
        "photo,condition,plug\n1.jpg,rich,\n2.jpg,normal,x\n3.jpg,normal,\n2.jpg,normal,x\n"
        "4.jpg,unused,x\n"
    )
    faults = listed(tmp_path, labels).faults
    assert "line 2: condition rich" in faults[0]
    assert "line 4: there is no photo 3.jpg" in faults[1]
    assert "line 5: 2.jpg stands there twice" in faults[2]
    assert faults[3] == "Plug x is labelled normal and unused. Keep one of them."


def test_what_is_no_folder_or_no_such_csv_is_refused(tmp_path):
    with pytest.raises(LabelsError, match="is no folder"):
        listed(tmp_path / "gone")
    with pytest.raises(LabelsError, match=r"gone\.csv: No such file"):
        listed(tmp_path, tmp_path / "gone.csv")
    bad = tmp_path / "bad.csv"
    bad.write_text("file,label\n")
    with pytest.raises(LabelsError, match="no column photo and no column condition"):
        listed(tmp_path, bad)
    bad.write_bytes(b"photo,condition\n\xff\xfe,normal\n")
    with pytest.raises(LabelsError, match="UTF-8"):
        listed(tmp_path, bad)
