from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.report import samples
from tipvision.record.reading import Reading
from tipvision.record.reason import Reason, known_reasons
from tipvision.report.terminal import (
    LEAST_WIDTH,
    one_line,
    report_for_screen,
    terminal_report,
)

EVERY = pytest.mark.parametrize("name", samples.ALL)


def flat(report: str) -> str:
    """The report as one line, whatever its layout."""
    return " ".join(report.split())


@EVERY
@pytest.mark.parametrize("width", [1, LEAST_WIDTH, 41, 80, 200])
def test_no_line_is_wider_than_the_terminal(name: str, width: int) -> None:
    lines = terminal_report(samples.ALL[name], False, width).splitlines()
    assert max(len(line) for line in lines) <= max(width, LEAST_WIDTH)


@settings(max_examples=50)
@given(st.text("ab漢é\x1b\u202e\n \u00a0", min_size=1, max_size=300), st.integers(LEAST_WIDTH, 100))
def test_no_text_breaks_the_width_or_steers_the_terminal(text: str, width: int) -> None:
    reading = replace(samples.UNCLEAR, photo=text, reasons=(Reason("blurred", text, text),))
    report = terminal_report(reading, False, width)
    assert all(len(line) + line.count("漢") <= width for line in report.splitlines())
    assert "\x1b" not in report and "\u202e" not in report


@EVERY
def test_colour_adds_nothing_but_style(name: str) -> None:
    plain = terminal_report(samples.ALL[name], False, 80)
    styled = terminal_report(samples.ALL[name], True, 80)
    assert "\x1b" not in plain
    assert styled.replace("\x1b[1m", "").replace("\x1b[2m", "").replace("\x1b[0m", "") == plain
    assert styled != plain


def test_the_answer_comes_first_and_everything_is_there() -> None:
    report = terminal_report(samples.READ, False, 80)
    assert report.splitlines()[:2] == ["TB-07 left.jpg", "Dry black (carbon fouled): 93 % sure"]
    said = flat(report)
    explanation = samples.EXPLANATION
    for piece in (*explanation.causes, *explanation.checks, *explanation.advice):
        assert piece.text in said
    for number, caution in enumerate(explanation.cautions, 1):
        assert f"{number}! {caution.text}" in said
    assert samples.READ.condition is not None
    exact = samples.READ.condition.evidence.sentences()
    assert all(
        sentence in flat(terminal_report(samples.READ, False, 80, numbers=True))
        for sentence in exact
    )
    assert "Replace it." in said and "nearest band dry black" in said and "4100 K" in said
    assert "8 min Look at the spark" in said and "(cautions 2 and 3)" in said


def test_what_is_left_open_is_named_with_its_probabilities() -> None:
    said = flat(terminal_report(samples.UNCLEAR, False, 80))
    assert "dry black 52 % or wet black 46 %" in said
    assert " sure" not in said


def test_every_reason_code_is_told_with_its_remedy() -> None:
    assert {reason.code for reason in samples.REASONS} == set(known_reasons())
    for reason in samples.REASONS:
        said = flat(terminal_report(Reading("a.jpg", "unclear", (reason,)), False, 80))
        assert reason.text in said and reason.remedy in said


def test_an_unreadable_photo_takes_one_line_to_explain() -> None:
    report = terminal_report(samples.UNREADABLE, False, 80)
    assert report == (
        "cut.jpg\nCould not be opened\nThis file is cut off. Copy it from the phone again.\n"
    )


def test_no_folder_of_the_machine_is_told() -> None:
    assert "/home" not in terminal_report(samples.READ, False, 80)
    assert "photos" not in terminal_report(samples.UNCLEAR, False, 80)


def test_one_line_names_photo_plug_and_answer() -> None:
    assert one_line(samples.READ) == "TB-07 left.jpg: Dry black (carbon fouled): 93 % sure"
    assert one_line(samples.SEVERAL) == "SX-01.jpg, 2 plugs: Cannot tell from this photo"


@pytest.mark.parametrize(
    ("terminal", "no_color", "styled"),
    [(True, None, True), (True, "1", False), (False, None, False)],
)
def test_style_only_on_a_terminal_that_wants_it(
    monkeypatch: pytest.MonkeyPatch, terminal: bool, no_color: str | None, styled: bool
) -> None:
    monkeypatch.setattr("sys.stdout.isatty", lambda: terminal)
    monkeypatch.setenv("COLUMNS", "60")
    if no_color is None:
        monkeypatch.delenv("NO_COLOR", raising=False)
    else:
        monkeypatch.setenv("NO_COLOR", no_color)
    report = report_for_screen(samples.READ)
    assert report == terminal_report(samples.READ, styled, 60)


def test_the_names_of_results_stand_once_under_the_checks() -> None:
    assert samples.READ.explanation is not None
    checks = tuple(
        replace(check, tells=("use", f"fact_{n}"))
        for n, check in enumerate(samples.READ.explanation.checks)
    )
    told = replace(samples.READ, explanation=replace(samples.READ.explanation, checks=checks))
    report = " ".join(terminal_report(told, False, 200).split())
    assert "--fact NAME=RESULT, here use, fact_0, fact_1" in report
    assert "--fact" not in terminal_report(samples.READ, False, 200)
