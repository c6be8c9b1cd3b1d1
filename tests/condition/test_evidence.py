"""The sentences give the numbers, what they were compared with, and add up."""

import math
import re
from dataclasses import replace

import pytest

from tests.condition.examples import measured, plain_model
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.features import NAMES, features_of
from tipvision.condition.judge import judge, judgement
from tipvision.condition.model import default_model
from tipvision.measure.bands import load_bands

BRACKETS = re.compile(r"\(([+-]\d+\.\d)\)\.$")


def test_what_weighs_most_comes_first_with_both_usual_values():
    model = plain_model(shine={"wet_black": 9}, lightness={"dry_black": -1, "wet_black": -1})
    medians = model.medians.copy()
    medians[CONDITIONS.index("wet_black"), NAMES.index("shine")] = 1.5
    first, *others = judge(
        measured(20, shine=7), replace(model, medians=medians)
    ).evidence.sentences()
    assert first.startswith("The brightest spots are 7.0 times as bright")
    assert "usual is 4.5 for wet black, 1.0 for" in first
    assert any("L* is 20" in sentence for sentence in others)
    medians[:, NAMES.index("shine")] = 1.5
    told = judge(measured(20, shine=7), replace(model, medians=medians)).evidence.sentences()
    assert "usual is 4.5 for both" in told[0]


@pytest.mark.parametrize(
    ("ratio", "words"), [(0.03, "is 3 %"), (1.19, "is 119 %"), (2.04, "is 2.0 times"), (14.4, "14")]
)
def test_a_ratio_has_no_more_figures_than_it_is_worth(ratio, words):
    model = plain_model(nose_to_shell={"wet_black": 9 if ratio > 1 else -9})
    told = judge(measured(20, nose_to_shell=math.log(ratio)), model).evidence.sentences()
    assert any(f"{words} as" in one or f"is {words} times" in one for one in told)


@pytest.mark.parametrize("lightness", [15, 50, 92])
def test_what_speaks_for_the_answer_comes_first(lightness):
    *single, _ = judge(
        measured(lightness, doubt=6, nose_to_strap=0.3), default_model()
    ).evidence.sentences()
    parts = [float(BRACKETS.search(sentence)[1]) for sentence in single]
    against = [part < 0 for part in parts]
    assert against == sorted(against)
    assert against == [sentence.startswith("Against it: ") for sentence in single]
    for side in (True, False):
        sizes = [abs(part) for part, own in zip(parts, against, strict=True) if own == side]
        assert sizes == sorted(sizes, reverse=True)
    told = " ".join(sentence[: BRACKETS.search(sentence).start()] for sentence in single)
    assert not re.search(r"\d\d\.\d|\d\.\d\d", told)


@pytest.mark.parametrize("lightness", [15, 50, 92])
def test_the_numbers_in_brackets_and_the_rest_sum_to_the_score(lightness):
    measurement = measured(lightness, doubt=6, nose_to_strap=0.3)
    *single, last = judge(measurement, default_model()).evidence.sentences()
    parts = [float(BRACKETS.search(sentence)[1]) for sentence in single]
    rest, doubt, score = map(float, re.findall(r"[+-]\d+\.\d", last))
    assert sum(parts) + rest + doubt == pytest.approx(score, abs=0.05 * (len(parts) + 3))
    judged = judgement(features_of(measurement, load_bands()), default_model())
    assert score == pytest.approx(judged.attribution.score, abs=0.051)
