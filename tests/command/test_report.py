"""`tipvision report` and `tipvision shop`, as a shop uses them."""

import json

import pypdf
import pytest
from PIL import Image

from tipvision.record.check import faults_of

ENGINE = 'name = "TB-07"\nstroke = "two"\nfuel = "carburettor"\n[plug]\ngap_mm = [0.5, 0.6]\n'


@pytest.fixture(autouse=True)
def own_home(tmp_path, monkeypatch):
    monkeypatch.setenv("TIPVISION_HOME", str(tmp_path / "home"))


def written(pdf) -> str:
    return " ".join(page.extract_text() for page in pypdf.PdfReader(pdf).pages)


def test_one_plug_in_three_forms(run, demo, tmp_path):
    (tmp_path / "engine.toml").write_text(ENGINE)
    outs = [tmp_path / f"tb.{kind}" for kind in ("html", "pdf", "json")]
    flags = [flag for out in outs for flag in ("--out", out)]
    status, out, err = run(
        "report",
        demo["tb-07-a"],
        *flags,
        *("--engine-file", tmp_path / "engine.toml", "--fact", "spark_test=weak"),
    )
    assert (status, out) == (0, "")
    assert [line for line in err.splitlines() if line.startswith("written: ")] == [
        f"written: {path}" for path in outs
    ]
    html, report = outs[0].read_text("utf-8"), json.loads(outs[2].read_text())
    for text in (html, written(outs[1])):
        assert "tb-07-a.jpg" in text and "0.50 to 0.60 mm" in text
        assert str(demo["tb-07-a"].parent) not in text
        assert "Engine: TB-07, two-stroke, carburettor" in text
        assert "checks: spark test weak" in " ".join(text.split())
    (plug,) = report["plugs"]
    assert faults_of(plug["record"]) == []
    assert report["facts"] == {"spark_test": "weak"}
    assert report["engine"]["name"] == "TB-07" and plug["record"]["photo"] == "tb-07-a.jpg"


def test_the_plugs_of_one_engine_and_then_one_of_them_over_time(run, demo, tmp_path):
    shop = tmp_path / "kept"
    shop.mkdir()
    photos = [demo["qd-03-a"], demo["sx-01-left"]]
    status, _, _ = run("report", *photos, "--out", shop / "set.json", "--out", tmp_path / "set.pdf")
    assert status == 0
    assert "sx-01-left, taken by itself" in written(tmp_path / "set.pdf")
    report = json.loads((shop / "set.json").read_text())
    assert [plug["label"] for plug in report["plugs"]] == ["qd-03-a", "sx-01-left"]
    assert report["together"]["sentences"]
    assert len(pypdf.PdfReader(tmp_path / "set.pdf").pages) <= 2
    out, later = tmp_path / "later.json", tmp_path / "qd-03-b.jpg"
    later.write_bytes(demo["tb-07-a"].read_bytes())
    status, _, err = run("report", later, "--earlier", shop, "--out", out)
    assert status == 0 and "note:" in err and "sx-01-left" in err
    assert json.loads(out.read_text())["trend"]["readings"] == 2
    status, _, err = run("report", demo["qd-03-a"], "--earlier", shop, "--out", out)
    assert status == 0 and "all that" in err and "has of qd 03 is this photo" in err
    assert json.loads(out.read_text())["trend"] is None
    (tmp_path / "none").mkdir()
    status, _, err = run("report", demo["qd-03-a"], "--earlier", tmp_path / "none", "--out", out)
    assert status == 0 and "none has no earlier reading of qd 03" in err
    blank = tmp_path / "blank.png"
    Image.new("RGB", (200, 200), "white").save(blank)
    status, _, err = run("report", blank, "--earlier", shop, "--out", out)
    assert status == 0 and "nothing was measured in this photo" in err


def test_a_photo_that_cannot_be_opened_is_left_out(run, demo, tmp_path):
    (tmp_path / "letter.jpg").write_text("Dear workshop")
    out = tmp_path / "report.html"
    status, _, err = run("report", tmp_path / "letter.jpg", demo["stores-new"], "--out", out)
    assert status == 1 and out.exists() and "error[cannot_open]" in err
    both = [tmp_path / "letter.jpg", demo["stores-new"]]
    assert run("report", *both, "--out", tmp_path / "r.json")[0] == 1
    assert json.loads((tmp_path / "r.json").read_text())["left_out"] == ["letter.jpg"]
    left_out = "Not in this report, because the photo could not be opened: letter.jpg."
    assert left_out in out.read_text()
    two = ["--cylinders", "front,rear", "--out", out]
    status, _, err = run("report", tmp_path / "letter.jpg", demo["stores-new"], *two)
    assert status == 1 and err.count("error[") == 1 and left_out in out.read_text()
    both = [demo["tb-07-a"], tmp_path / "letter.jpg", demo["stores-new"]]
    status, _, err = run("report", *both, "--cylinders", "1,2,3", "--out", out)
    assert status == 1 and left_out in out.read_text()
    assert "cylinder 3" in out.read_text().lower() and "cylinder 2" not in out.read_text().lower()
    status, _, _ = run("report", tmp_path / "letter.jpg", "--out", tmp_path / "none.html")
    assert status == 1 and not (tmp_path / "none.html").exists()


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--out", "report.docx"], ".html, .pdf, .json"),
        (["--out", "a.html", "--cylinders", "1,2"], "2 cylinders were named for 1"),
        (["--out", "a.html", "--earlier", "gone"], "gone is no folder"),
        (["--out", "a.html", "--engine-file", "gone.toml"], "gone.toml"),
        (["--out", "a.html", "--plug", "none"], "--plug takes"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(run, demo, tmp_path, monkeypatch, options, words):
    monkeypatch.chdir(tmp_path)
    status, _, err = run("report", demo["stores-new"], *options)
    assert status == 2
    assert words in err and err.startswith("error[usage]: ") and err.count("\n") == 1
    assert not (tmp_path / "a.html").exists()


def test_a_report_that_cannot_be_written_says_so(run, demo, tmp_path):
    status, _, err = run("report", demo["stores-new"], "--out", tmp_path / "no" / "a.html")
    assert status == 1 and "error[cannot_write]" in err
    (tmp_path / "a.html").mkdir()
    status, _, err = run("report", demo["stores-new"], "--out", tmp_path / "a.html")
    assert status == 1 and "error[cannot_write]" in err


def test_a_missing_folder_is_told_before_anything_is_read(run, tmp_path):
    status, _, err = run("report", tmp_path / "gone.jpg", "--out", tmp_path / "no" / "a.html")
    assert status == 1 and "no such folder" in err and err.count("\n") == 1


def test_the_shops_name_is_kept_and_stands_on_reports(run, demo, tmp_path):
    assert run("shop")[:2] == (
        0,
        "name: Larch Hollow Trail Hire (from the default)\nlogo: our own mark (from the default)\n",
    )
    status, out, _ = run("shop", "--name", "Quarry Lane Engines")
    assert status == 0 and "Quarry Lane Engines (from " in out
    assert run("read", demo["stores-new"], "--report", tmp_path, "-q")[0] == 0
    assert "Quarry Lane Engines" in (tmp_path / "stores-new.html").read_text("utf-8")
    status, _, err = run("shop", "--logo", tmp_path / "gone.png")
    assert status == 2 and "Give a PNG or JPEG" in err


def test_one_photo_is_no_two_plugs(run, demo, tmp_path):
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(demo["tb-07-a"].read_bytes())
    out = tmp_path / "set.html"
    status, _, err = run("report", demo["tb-07-a"], copy, "--out", out)
    assert status == 2 and "copy.jpg is the same photo as" in err and err.count("\n") == 1
    assert not out.exists()
