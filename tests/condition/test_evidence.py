"""The sentences give the numbers, what they were compared with, and add up."""

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
    first, *others = judge(measured(20, shine=7), replace(model, medians=medians)).evidence
    assert first.startswith("The brightest spots are 7.00 times as bright")
    assert "usual is 4.48 for wet black, 1.00 for" in first
    assert any("L* is 20" in sentence for sentence in others)


@pytest.mark.parametrize("lightness", [15, 50, 92])
def test_the_numbers_in_brackets_and_the_rest_sum_to_the_score(lightness):
    measurement = measured(lightness, doubt=6, nose_to_strap=0.3)
    *single, last = judge(measurement, default_model()).evidence
    parts = [float(BRACKETS.search(sentence)[1]) for sentence in single]
    rest, doubt, score = map(float, re.findall(r"[+-]\d+\.\d", last))
    assert sum(parts) + rest + doubt == pytest.approx(score, abs=0.05 * (len(parts) + 3))
    judged = judgement(features_of(measurement, load_bands()), default_model())
    assert score == pytest.approx(judged.attribution.score, abs=0.051)
