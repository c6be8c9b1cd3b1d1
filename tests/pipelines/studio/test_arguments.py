"""Nonsense on the command line is refused in one line that names the option and its rule."""

import argparse
import math
import re
from pathlib import Path

import pytest

from pipelines.studio.arguments import parse

NEEDED = {
    "demo": "--out o",
    "render": "--look train --count 1 --out o",
    "develop": "r --out o",
    "large": "--renders r --out o",
    "sheet": "m --out o.jpg",
    "sample": "m --out o",
    "leaks": "m",
    "check": "m",
    "physics": "",
}


def _refused(line: str, capsys: pytest.CaptureFixture[str]) -> str:
    with pytest.raises(SystemExit) as left:
        parse(line.split())
    said = capsys.readouterr()
    assert (left.value.code, said.out) == (2, "")
    assert said.err.count("\n") == 1 and said.err.endswith("\n")
    return said.err


@pytest.mark.parametrize(
    ("job", "option", "value", "rule"),
    [
        ("render", "--count", "0", "a whole number from 1, "),
        ("render", "--count", "-3", "a whole number from 1, "),
        ("render", "--count", "many", "a whole number from 1, "),
        ("render", "--count", "1.5", "a whole number from 1, "),
        ("render", "--first", "-1", "a whole number from 0, "),
        ("render", "--workers", "0", "a whole number from 1 to "),
        ("render", "--workers", "-1", "a whole number from 1 to "),
        ("render", "--gpus", "0", "a whole number from 1 to "),
        ("render", "--seconds", "-1", "a number from 1, "),
        ("render", "--seconds", "nan", "a number from 1, "),
        ("render", "--wide", "0", "a whole number from 1 to "),
        ("render", "--plug", "0", "a whole number from 1 to "),
        ("develop", "--each", "0", "a whole number from 1 to 64"),
        ("develop", "--each", "65", "a whole number from 1 to 64"),
        ("develop", "--longest", "0", "a whole number from 64 to "),
        ("demo", "--size", "0", "a number from 0.05 to "),
        ("demo", "--size", "inf", "a number from 0.05 to "),
        ("demo", "--quality", "-1", "a number from 0.01 to "),
        ("large", "--count", "0", "a whole number from 1 to "),
        ("sheet", "--count", "0", "a whole number from 1, "),
        ("sheet", "--first", "-1", "a whole number from 0, "),
        ("sheet", "--tile", "0", "a whole number from 16 to "),
        ("sheet", "--out", "sheet.png", "end in .jpg or .jpeg, "),
        ("sheet", "--out", "sheet", "end in .jpg or .jpeg, "),
        ("sample", "--count", "-1", "a whole number from 1, "),
    ],
)
def test_a_value_that_cannot_be_is_refused(
    job: str, option: str, value: str, rule: str, capsys: pytest.CaptureFixture[str]
) -> None:
    said = _refused(f"{job} {NEEDED[job]} {option} {value}", capsys)
    assert said.startswith(f"argument {option}: must ")
    assert rule in said and repr(value) in said
    assert f"python -m pipelines.studio {job} --help" in said


def test_only_photos_of_the_demo_may_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert "argument --only: expected at least one" in _refused("demo --out o --only", capsys)
    pytest.importorskip("mitsuba")
    said = _refused("demo --out o --only tb-07-a.jpg elsewhere.jpg", capsys)
    assert "argument --only: must be some of tb-07-a.jpg, " in said and "'elsewhere.jpg'" in said
    assert parse(["demo", "--out", "o", "--only", "tb-07-a.jpg"]).only == ["tb-07-a.jpg"]


def test_an_unknown_job_look_or_option_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert "'paint'" in _refused("paint", capsys)
    assert "train" in _refused("render --look other --count 1 --out o", capsys)
    assert "--colour" in _refused("check m --colour", capsys)
    assert "--out" in _refused("develop r", capsys)


@pytest.mark.parametrize("job", NEEDED)
def test_what_is_needed_is_enough_and_help_tells_every_default(
    job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    known = vars(parse([job, *NEEDED[job].split()]))
    with pytest.raises(SystemExit):
        parse([job, "--help"])
    shown = " ".join(capsys.readouterr().out.split())
    given = {word.lstrip("-") for word in NEEDED[job].split() if word.startswith("--")}
    for name in known.keys() - given - {"job", "manifest", "renders"}:
        assert re.search(rf"--{name} [A-Z][^(]*\(default: ", shown), name


def test_defaults() -> None:
    known = parse(["render", "--look", "tune", "--count", "3", "--out", "o"])
    assert known == argparse.Namespace(
        job="render",
        look="tune",
        count=3,
        out=Path("o"),
        first=0,
        workers=known.workers,
        wide=16,
        plug=32,
        gpus=1,
        seconds=math.inf,
    )
    assert known.workers >= 1
