"""What decided, told without a number that a workshop has to look up."""

import math
import re

import pytest

from tests.condition.examples import measured
from tipvision.condition.evidence import Evidence, Sign
from tipvision.condition.judge import judge
from tipvision.condition.model import default_model
from tipvision.report.decided import in_plain_words


def evidence(*weights: float, score: float = 1.0) -> Evidence:
    signs = tuple(Sign(f"The nose is {n} wide", weight) for n, weight in enumerate(weights))
    return Evidence("wet black", "dry black", signs, 0.0, 0.0, score)


def wide(sentences: tuple[str, ...]) -> list[int]:
    """Which of the made signs are told, in their order."""
    return [int(found[1]) for one in sentences if (found := re.search(r"is (\d+) wide", one))]


@pytest.mark.parametrize("lightness", [15, 50, 92])
def test_every_sign_of_a_reading_is_told_in_plain_words(lightness):
    held = judge(measured(lightness, doubt=6, nose_to_strap=0.3), default_model()).evidence
    *single, last = in_plain_words(held)
    assert len(single) == len(held.signs)
    for sign, told in zip(held.signs, single, strict=True):
        assert told.startswith("Against it, " if sign.against else "For it, ")
        assert told.endswith(f"{sign.text[1:]}.")
    ratio = float(re.search(r"is ([\d.]+) times as likely", last)[1])
    assert math.log(ratio) == pytest.approx(held.score, abs=0.06)
    assert "odds" not in last


@pytest.mark.parametrize(
    ("weight", "words"),
    [
        (1.7, "For it, strongly: "),
        (-1.7, "Against it, strongly: "),
        (0.7, "For it, clearly: "),
        (-0.6, "Against it, a little: "),
        (-0.04, "For it, a little: "),
    ],
)
def test_the_word_is_that_of_the_weight(weight, words):
    assert in_plain_words(evidence(weight))[0] == f"{words}the nose is 0 wide."


def test_what_is_certain_beyond_any_photo_is_not_told_as_that():
    (told,) = in_plain_words(evidence(score=9.9))
    assert "wet black is over 1000 times as likely as dry black" in told


def test_without_evidence_nothing_is_told():
    assert in_plain_words(None) == ()


def test_the_strongest_against_the_answer_is_never_left_out() -> None:
    assert wide(in_plain_words(evidence(4, 3, 2, 1, -2, -1), 3)) == [0, 1, 4]
    assert wide(in_plain_words(evidence(4, -2, -1), 2)) == [0, 1]


def test_without_one_the_first_are_shown() -> None:
    assert wide(in_plain_words(evidence(4, 3, 2, 1), 3)) == [0, 1, 2]
