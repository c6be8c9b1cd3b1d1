import numpy as np
import pytest

from tipvision.condition.condition import FINDINGS, LABELS
from tipvision.report import words


def test_every_label_and_finding_of_the_record_has_words() -> None:
    assert set(words.CONDITIONS) == set(LABELS)
    assert set(words.FINDINGS) == set(FINDINGS)


def test_every_verdict_and_view_of_the_contract_has_words() -> None:
    assert set(words.PLUG_VERDICTS) == {"refit", "clean", "replace", "check"}
    assert set(words.ENGINE_VERDICTS) == {"run", "not_under_load", "do_not_start", "check"}
    assert set(words.VIEWS) == {"end_on", "oblique", "side"}


def test_no_machine_name_is_among_the_words() -> None:
    said = " ".join(
        [
            *(f"{name} {gloss}" for name, gloss in words.CONDITIONS.values()),
            *words.FINDINGS.values(),
            *words.PLUG_VERDICTS.values(),
            *words.ENGINE_VERDICTS.values(),
            *words.VIEWS.values(),
            *words.LIGHTS.values(),
        ]
    )
    assert "_" not in said


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "0\u00a0%"),
        (0.001, "under 1\u00a0%"),
        (0.01, "1\u00a0%"),
        (0.934, "93\u00a0%"),
        (0.996, "over 99\u00a0%"),
        (1.0, "100\u00a0%"),
    ],
)
def test_percent_never_rounds_doubt_away(share: float, said: str) -> None:
    assert words.percent(share) == said


def test_sure_word_grows_with_the_probability() -> None:
    said = [words.sure_word(p) for p in np.linspace(0.0, 1.0, 101)]
    order = ["Leaning this way", "Fairly sure", "Sure", "Very sure"]
    assert sorted(said, key=order.index) == said and set(said) == set(order)


@pytest.mark.parametrize(
    ("source", "part"),
    [
        ("bench_card", "bench card"),
        ("chart", "24-patch chart"),
        ("estimate", "estimated"),
        ("declared:daylight", "daylight"),
        ("stored:bench lamp", "bench lamp"),
        ("something_new", "something_new"),
    ],
)
def test_light_words_name_the_source(source: str, part: str) -> None:
    assert part in words.light_words(source)


@pytest.mark.parametrize(
    ("lab", "said"),
    [
        ((8.0, 0.0, 0.0), "black"),
        ((22.0, 1.0, 1.0), "very dark grey"),
        ((40.0, 8.0, 16.0), "dark brown"),
        ((72.0, 5.0, 18.0), "light tan"),
        ((95.0, 0.0, 2.0), "white"),
        ((45.0, 30.0, 5.0), "dark red"),
        ((50.0, -20.0, 10.0), "mid greenish grey"),
    ],
)
def test_colour_words(lab: tuple[float, float, float], said: str) -> None:
    assert words.colour_words(np.array(lab)) == said


def test_listed_joins_as_spoken() -> None:
    assert words.listed([]) == ""
    assert words.listed(["a"]) == "a"
    assert words.listed(["a", "b", "c"], "or") == "a, b or c"


@pytest.mark.parametrize(
    ("taken", "said"),
    [
        ("2026:05:02 14:05:59", "2 May 2026, 14:05"),
        ("0000:00:00 00:00:00", "0000:00:00 00:00:00"),
        ("last week", "last week"),
    ],
)
def test_taken_words(taken: str, said: str) -> None:
    assert words.taken_words(taken) == said


@pytest.mark.parametrize(
    ("taken", "said"), [("2026:05:12 14:05:59", "12 May 2026"), ("some day", "some day")]
)
def test_day_words(taken: str, said: str) -> None:
    assert words.day_words(taken) == said


def test_the_name_of_a_file_keeps_its_letters_where_a_heading_begins() -> None:
    shown = [words.opening(label) for label in ("cylinder 2", "left", "gn-02-a", "081101", "")]
    assert shown == ["Cylinder 2", "Left", "gn-02-a", "081101", ""]
