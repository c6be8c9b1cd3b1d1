"""`--same-plug`, as a shop uses it."""

import json

import cv2
import pytest

from tipvision.record.check import faults_of


@pytest.fixture(scope="module")
def twin(tmp_path_factory, demo):
    """The photo of a plug again, a little larger."""
    path = tmp_path_factory.mktemp("twin") / "tb-07-b.png"
    picture = cv2.imread(str(demo["tb-07-a"]))
    cv2.imwrite(str(path), cv2.resize(picture, None, fx=1.1, fy=1.1))
    return path


def test_two_photos_and_one_of_no_use_are_one_line(run, demo, twin, tmp_path):
    (tmp_path / "letter.jpg").write_text("Dear workshop")
    photos = [demo["tb-07-a"], tmp_path / "letter.jpg", twin, demo["bench-tray"]]
    status, out, err = run("read", "--same-plug", *photos, "--json", "--masks", tmp_path)
    (record,) = map(json.loads, out.splitlines())
    assert status == 1 and err.count("error[cannot_open]") == 1
    assert faults_of(record) == []
    assert record["photos"] == [str(photo) for photo in photos]
    assert record["photo"] == str(photos[0]) and record["colour"] is not None
    left_out = [one["photo"] for one in record["same_plug"]["left_out"]]
    assert left_out == [str(photos[1]), str(photos[3])]
    assert f"note: {photos[3]}: left out of the reading" in err
    shown = {str(p): p for p in photos}[record["same_plug"]["measured"]]
    assert cv2.imread(str(tmp_path / f"{shown.stem}.png")).shape == cv2.imread(str(shown)).shape


def test_a_report_names_the_photos_without_their_folders(run, demo, twin, tmp_path):
    outs = [tmp_path / "tb.html", tmp_path / "tb.json"]
    flags = [flag for out in outs for flag in ("--out", out)]
    status, _, err = run("report", "--same-plug", demo["tb-07-a"], twin, *flags, "--quiet")
    assert (status, err) == (0, "")
    page, report = outs[0].read_text("utf-8"), json.loads(outs[1].read_text())
    assert "tb-07-a.jpg and tb-07-b.png" in page
    (plug,) = report["plugs"]
    assert plug["record"]["photos"] == ["tb-07-a.jpg", "tb-07-b.png"]
    assert plug["record"]["same_plug"]["measured"] in plug["record"]["photos"]
    assert faults_of(plug["record"]) == []
    for text in (page, outs[1].read_text()):
        assert str(twin.parent) not in text and str(demo["tb-07-a"].parent) not in text


@pytest.mark.parametrize("command", [["read"], ["report", "--out", "never.html"]])
@pytest.mark.parametrize(
    ("count", "options", "word"),
    [
        (1, [], "two or more"),
        (2, ["--plug", "all"], "--plug"),
        (2, ["--tip", "circle:9,9,3"], "--tip"),
    ],
)
def test_wrong_usage_is_one_clear_line_and_status_2(run, demo, command, count, options, word):
    photos = list(demo.values())[:count]
    status, out, err = run(*command, "--same-plug", *photos, *options)
    assert (status, out, len(err.splitlines())) == (2, "", 1)
    assert word in err


@pytest.mark.parametrize("command", [["read"], ["report", "--out", "never.html"]])
def test_copies_of_one_photo_are_no_second_witness(run, demo, tmp_path, command):
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(demo["tb-07-a"].read_bytes())
    for twice in ([demo["tb-07-a"]] * 2, [demo["tb-07-a"], copy]):
        status, out, err = run(*command, "--same-plug", *twice)
        assert (status, out, err.count("\n")) == (2, "", 1)
        assert "no second witness" in err


def test_a_copy_beside_another_photo_counts_once(run, demo, twin, tmp_path):
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(demo["tb-07-a"].read_bytes())
    _, once, _ = run("read", "--same-plug", "--json", demo["tb-07-a"], twin)
    _, out, err = run("read", "--same-plug", "--json", demo["tb-07-a"], copy, twin)
    assert out == once
    assert f"note: {copy}: a copy of {demo['tb-07-a']}" in err


def test_a_report_of_photos_one_of_which_cannot_be_opened_says_so(run, demo, twin, tmp_path):
    (tmp_path / "letter.jpg").write_text("Dear workshop")
    photos, out = [demo["tb-07-a"], tmp_path / "letter.jpg", twin], tmp_path / "tb.html"
    status, _, err = run("report", "--same-plug", *photos, "--out", out)
    assert status == 1 and err.count("error[cannot_open]") == 1
    assert out.exists() and "letter.jpg" in out.read_text()
