"""The parts sum to the score, and each is what its feature does."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.condition.examples import measured, plain_model
from tipvision.condition.attribution import DOUBT
from tipvision.condition.features import NAMES, features_of
from tipvision.condition.judge import judgement
from tipvision.condition.model import default_model
from tipvision.measure.bands import load_bands

MODEL = plain_model(lightness={"unused": 9, "dry_black": -9}, shine={"wet_black": 6, "normal": -1})


@settings(max_examples=40)
@given(st.floats(5, 98), st.floats(1, 30), st.floats(0, 0.2), st.floats(0, 20), st.floats(-3, 3))
def test_they_sum_to_the_ln_odds_of_the_probabilities(lightness, shine, specks, doubt, beside):
    measurement = measured(lightness, shine, specks, doubt, nose_to_shell=beside)
    for model in (MODEL, default_model()):
        judged = judgement(features_of(measurement, load_bands()), model)
        told = judged.attribution
        odds = judged.probabilities[told.label] / judged.probabilities[told.rival]
        assert sum(told.parts.values()) == pytest.approx(told.score, abs=1e-9)
        assert told.score == pytest.approx(math.log(odds), abs=1e-9)


def test_without_doubt_in_the_light_a_part_is_what_is_lost_without_its_feature():
    features = features_of(measured(30, shine=6, doubt=0.0), load_bands())
    judged = judgement(features, MODEL).attribution
    assert judged.parts[DOUBT] == pytest.approx(0, abs=1e-9)
    for name in ("lightness", "shine"):
        slopes = MODEL.curves.slopes.copy()
        slopes[:, NAMES.index(name)] = 0.0
        without = replace(MODEL, curves=replace(MODEL.curves, slopes=slopes))
        chances = judgement(features, without).probabilities
        left = math.log(chances[judged.label] / chances[judged.rival])
        assert judged.score - left == pytest.approx(judged.parts[name], abs=1e-9)


def test_doubt_in_the_light_speaks_against_an_answer_that_rests_on_lightness():
    sure, unsure = (
        judgement(features_of(measured(95, doubt=doubt), load_bands()), MODEL).attribution
        for doubt in (0.0, 25.0)
    )
    assert unsure.label == sure.label == "unused"
    assert unsure.score < sure.score
    assert np.isfinite(unsure.parts[DOUBT])
