"""What decided, told without a number that a workshop has to look up."""

import math
import re

import pytest

from tests.condition.examples import measured
from tipvision.condition.evidence import AGAINST
from tipvision.condition.judge import judge
from tipvision.condition.model import default_model
from tipvision.report.decided import in_plain_words, weightiest

FOR = tuple(f"For it, {n}." for n in range(4))
OTHERS = tuple(f"{AGAINST}something, {n}." for n in range(2))


@pytest.mark.parametrize("lightness", [15, 50, 92])
def test_every_sentence_of_a_reading_is_told_in_plain_words(lightness):
    evidence = judge(measured(lightness, doubt=6, nose_to_strap=0.3), default_model()).evidence
    *single, last = in_plain_words(evidence)
    for sentence, told in zip(evidence, single, strict=False):
        weight = float(re.search(r"\(([+-][\d.]+)\)\.$", sentence)[1])
        assert told.startswith("Against it, " if weight < 0 else "For it, ")
        assert "(" not in told.removesuffix(".")[-8:]
    ratio = float(re.search(r"is ([\d.]+) times as likely", last)[1])
    score = float(re.search(r"([+-][\d.]+) in all", evidence[-1])[1])
    assert math.log(ratio) == pytest.approx(score, abs=0.06)
    assert "odds" not in last


@pytest.mark.parametrize(
    ("weight", "words"),
    [
        ("+1.7", "For it, strongly: "),
        ("-1.7", "Against it, strongly: "),
        ("+0.7", "For it, clearly: "),
        ("-0.6", "Against it, a little: "),
        ("+0.0", "For it, a little: "),
    ],
)
def test_the_word_is_that_of_the_weight(weight, words):
    against = "Against it: the" if weight.startswith("-") else "The"
    assert in_plain_words([f"{against} nose is 2 wide; usual is 3 ({weight})."]) == (
        f"{words}the nose is 2 wide; usual is 3.",
    )


def test_what_is_certain_beyond_any_photo_is_not_told_as_that():
    whole = "All else comes to +1.0, the doubt in the light to -0.1: +9.9 in all for a against b"
    (told,) = in_plain_words([f"{whole}, as ln odds."])
    assert "over 1000 times as likely as b" in told


def test_any_other_sentence_stays():
    assert in_plain_words(["Photos of this plug."]) == ("Photos of this plug.",)


def test_the_strongest_against_the_answer_is_never_left_out() -> None:
    assert weightiest((*FOR, *OTHERS, "All else."), 3) == (*FOR[:2], OTHERS[0], "All else.")
    assert weightiest((FOR[0], *OTHERS, "All."), 2) == (FOR[0], OTHERS[0], "All.")


def test_without_one_the_first_are_shown() -> None:
    assert weightiest((*FOR, "All else."), 3) == (*FOR[:3], "All else.")
    assert weightiest((), 3) == ()
