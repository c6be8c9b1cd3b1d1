"""demo, card, check and --version."""

import io
import json
import sys

import pypdf
import pytest

from tipvision import __version__


def test_the_demo_reads_what_ships_and_writes_it(run, tmp_path, demo, monkeypatch):
    monkeypatch.chdir(tmp_path)
    status, out, _ = run("demo")
    folder = tmp_path / "tipvision-demo"
    assert status == 0
    assert {p.stem for p in folder.glob("*.html")} == set(demo)
    for name in demo:
        assert f"{name}.jpg" in out
    status, checked, _ = run("check", folder / "records.jsonl")
    assert (status, checked) == (0, f"{len(demo)} records, {len(demo)} valid, 0 not\n")


def test_the_card_is_a_pdf_of_one_page(run, tmp_path):
    path = tmp_path / "card.pdf"
    status, _, err = run("card", "--out", path)
    assert status == 0
    assert "100 %" in err
    assert len(pypdf.PdfReader(path).pages) == 1  # reference library: pypdf


def test_a_card_that_cannot_be_written_says_so(run, tmp_path):
    status, _, err = run("card", "--out", tmp_path / "no" / "card.pdf")
    assert status == 2
    assert "cannot be written" in err


def test_check_names_the_line_that_is_wrong(run, tmp_path):
    path = tmp_path / "records.jsonl"
    path.write_text('\n{"schema": 1}\n')
    status, out, err = run("check", path)
    assert (status, out) == (1, "1 records, 0 valid, 1 not\n")
    assert f"{path}:2:" in err


@pytest.mark.parametrize("name", ["gone.jsonl", "photo.bin"])
def test_check_of_no_text_says_so(run, tmp_path, name):
    (tmp_path / "photo.bin").write_bytes(b"\xff\xd8\xff\x00")
    status, _, err = run("check", tmp_path / name)
    assert status == 1
    assert err.startswith("error[cannot_open]")


@pytest.mark.parametrize(
    ("document", "words"),
    [
        (json.dumps({"report": 1, "plugs": []}, indent=1), "is a report"),
        (json.dumps({"report": 1, "plugs": []}), "is a report"),
        (json.dumps([{"schema": 1}] * 50, indent=1), "one JSON document over several lines"),
    ],
)
def test_check_of_another_json_file_says_so_in_one_line(run, tmp_path, document, words):
    path = tmp_path / "report.json"
    path.write_text(document)
    status, out, err = run("check", path)
    assert (status, out) == (1, "")
    assert err.startswith(f"error[record]: {path}: ") and words in err and err.count("\n") == 1


def test_check_reads_standard_input(run, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert run("check", "-")[:2] == (0, "0 records, 0 valid, 0 not\n")


def test_version_names_tool_record_and_model(run):
    status, out, _ = run("--version")
    assert status == 0
    assert out.splitlines()[:2] == [f"tipvision {__version__}", "record 1"]
    assert "model curves" in out


@pytest.mark.parametrize("command", [["--help"], ["read", "--help"], ["demo", "--help"]])
def test_help_answers(run, command):
    status, out, _ = run(*command)
    assert status == 0
    assert "usage: tipvision" in out


def test_no_command_is_wrong_usage(run):
    assert run()[0] == 2
