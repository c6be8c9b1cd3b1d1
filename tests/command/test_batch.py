"""`tipvision batch` with the real reading, and what it says of wrong usage."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tipvision.batch.store.out_folder import locked


@pytest.fixture
def shop(tmp_path, demo) -> Path:
    """Three demo photos, one of them twice, and a letter."""
    folder = tmp_path / "shop"
    (folder / "TB-07").mkdir(parents=True)
    for name, kept in (
        ("tb-07-a", "TB-07/a.jpg"),
        ("bench-tray", "tray.jpg"),
        ("qd-03-a", "q.jpg"),
    ):
        shutil.copy(demo[name], folder / kept)
    shutil.copy(demo["tb-07-a"], folder / "again.jpg")
    (folder / "letter.jpg").write_text("Dear workshop")
    return folder


def records_of(out: Path) -> dict[str, list[dict]]:
    found: dict[str, list[dict]] = {}
    for line in (out / "records.jsonl").read_text().splitlines():
        record = json.loads(line)
        found.setdefault(record["photo"], []).append(record)
    return found


def test_a_batch_reads_what_read_reads(run, shop, monkeypatch):
    status, out, err = run("batch", shop, "--workers", 1, "--stroke", "two")
    assert status == 1  # the letter
    readings = shop.with_name("shop-readings")
    assert f"written: {readings}" in err
    assert "1 unreadable, 1 duplicate" in out
    assert "unreadable: letter.jpg: The file is not a picture" in out
    found = records_of(readings)
    monkeypatch.chdir(shop)
    names = ["TB-07/a.jpg", "letter.jpg", "q.jpg", "tray.jpg"]
    _, alone, _ = run("read", "--json", "--plug", "all", "--stroke", "two", *names)
    assert [r for name in names for r in found[name]] == [
        json.loads(line) for line in alone.splitlines()
    ]
    assert "again.jpg" not in found
    summary = json.loads((readings / "summary.json").read_text())
    assert sum(summary["states"].values()) == summary["photos"] == 5
    assert run("check", readings / "records.jsonl")[0] == 0

    status, out, _ = run("batch", shop, "--dry-run", "--stroke", "two")
    assert (status, out.count("stands\t")) == (0, 5)
    status, out, _ = run("batch", f"file://{shop}", "--dry-run", "--stroke", "two")
    assert (status, out.count("stands\t")) == (0, 5)  # the same folder, so the same batch
    status, out, err = run("batch", shop, "--dry-run", "--light", "A", "--stroke", "two")
    assert (status, out.count("light\t")) == (0, 5)
    with locked(readings):
        status, _, err = run("batch", shop)
    assert status == 1 and err.startswith("error[batch]: Another run writes to")


def test_a_dry_run_writes_nothing(run, shop):
    status, out, err = run("batch", shop, "--dry-run")
    assert status == 0 and not shop.with_name("shop-readings").exists()
    assert sorted(out.splitlines())[0] == "new\tTB-07/a.jpg"
    assert "photos: 5 (5 new)" in err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "Nothing is named to read"),
        (("nowhere",), "nowhere is not there"),
        ((".", "--workers", "0"), "--workers takes"),
        ((".", "--workers", "2", "--cluster", "tcp://10.0.0.5:8786"), "give one"),
        ((".", "--longest", "soon"), "--longest takes"),
        ((".", "--pattern", "("), "--pattern"),
        ((".", "--light", "candle"), "No light is called"),
        ((".", "--out", "file"), "file is a file"),
        (("--list", "nolist"), "nolist is not there"),
        ((".", "--out", "."), "is the folder of a batch"),
    ],
)
def test_wrong_usage_is_one_line_and_leaves_nothing(run, tmp_path, monkeypatch, options, words):
    folder = tmp_path / "here"
    folder.mkdir()
    (folder / "file").touch()
    monkeypatch.chdir(folder)
    status, out, err = run("batch", *options)
    assert (status, out) == (2, "")
    assert err.startswith("error[usage]: ") and words in err and err.count("\n") == 1
    assert [path.name for path in folder.iterdir()] == ["file"]


def test_a_store_that_cannot_be_used_is_one_line(run, shop, tmp_path):
    out = tmp_path / "out"
    (out / "batch.sqlite").mkdir(parents=True)
    status, _, err = run("batch", shop, "--out", out)
    assert status == 1 and "cannot be written to" in err and err.count("\n") == 1
    (out / "batch.sqlite").rmdir()
    (out / "batch.sqlite").write_text("rubbish, and more of it" * 100)
    status, _, err = run("batch", shop, "--out", out)
    assert status == 1 and "is damaged" in err and err.count("\n") == 1


def test_a_folder_that_cannot_be_listed_shows_in_the_status(run, tmp_path, monkeypatch):
    def closed(_):
        raise PermissionError(13, "Permission denied")

    (tmp_path / "shop").mkdir()
    monkeypatch.setattr("tipvision.batch.sources.folder.os.scandir", closed)
    status, out, _ = run("batch", tmp_path / "shop")
    assert status == 1 and f"Could not be listed: {tmp_path}/shop: Permission denied" in out


def test_views_stand_when_nobody_reads_the_summary(run, tmp_path, monkeypatch):
    def closed(_):
        raise BrokenPipeError

    monkeypatch.setattr("tipvision.command.batch.summary_lines", closed)
    (tmp_path / "names").write_text("\n")
    out = tmp_path / "out"
    run("batch", "--list", tmp_path / "names", "--out", out)
    assert (out / "sheet.html").exists() and (out / "summary.json").exists()


def test_help_loads_nothing_heavy():
    code = (
        "import sys, tipvision.command as c\n"
        "try: c.main(['batch', '--help'])\n"
        "except SystemExit: pass\n"
        "print(*sorted(m.split('.')[0] for m in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.splitlines()[-1].split())
    assert "tipvision" in loaded
    assert not loaded & {"cv2", "numpy", "PIL", "fsspec", "filelock", "pyarrow", "distributed"}
