"""The judgement is a probability, widens with doubt, and refuses what it does not know."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.condition.examples import measured, plain_model
from tipvision.condition.condition import CONDITIONS, LABELS
from tipvision.condition.detectors import Detectors
from tipvision.condition.features import NAMES
from tipvision.condition.judge import judge, kept_open
from tipvision.condition.model import default_model
from tipvision.record.reason import reason

WHITE = plain_model(lightness={"chalk_white": 30, "unused": 20, "normal": 15})
BLACK = plain_model(
    lightness={"dry_black": -40, "wet_black": -40}, shine={"wet_black": 12, "dry_black": -12}
)


def codes(condition):
    return [reason.code for reason in condition.reasons]


def test_a_burnt_out_nose_may_be_overheated() -> None:
    plain = replace(judge(measured(95, specks=0.0, doubt=0), WHITE), possible=("unused",))
    burnt = reason("clipped", percent=40)
    assert kept_open(plain, (burnt,)).possible == ("unused", "chalk_white")
    assert kept_open(plain, (reason("too_dark"),)) == plain
    once = kept_open(plain, (burnt,))
    assert kept_open(once, (burnt,)) == once


def test_white_without_a_sign_of_heat_is_not_overheated():
    """Common practice: white alone is not overheated."""
    bare, specked = (judge(measured(95, specks=s, doubt=0), WHITE) for s in (0.0, 0.1))
    assert specked.possible == ("chalk_white",)
    assert codes(specked) == []
    assert bare.possible == ("chalk_white", "unused")
    assert codes(bare) == ["undecided"]
    assert bare.probabilities["chalk_white"] < specked.probabilities["chalk_white"] + 1e-9


def test_black_between_dry_and_wet_asks_for_a_low_lamp():
    assert codes(judge(measured(10, shine=1.0), BLACK)) == ["dry_or_wet"]
    assert judge(measured(10, shine=1.6), BLACK).possible == ("wet_black",)
    assert judge(measured(10, shine=0.6), BLACK).possible == ("dry_black",)


def test_doubt_in_the_light_never_makes_an_answer_surer():
    model = plain_model(lightness={"unused": 20, "normal": -20})
    surest = [max(judge(measured(70, doubt=d), model).probabilities.values()) for d in (0, 5, 15)]
    assert surest == sorted(surest, reverse=True)


def test_what_is_like_no_plug_is_refused():
    model = plain_model(lightness={"unused": 20})
    strange = replace(model, known=replace(model.known, farthest=1e-9))
    assert "outside_model" not in codes(judge(measured(70), model))
    assert codes(judge(measured(70), strange)) == ["outside_model"]


def test_a_finding_that_stands_alone_may_leave_the_condition_open():
    plain = plain_model(lightness={"unused": 1})
    slopes = np.zeros((1, *plain.curves.slopes.shape[1:]))
    slopes[0, NAMES.index("shine"), 0] = 20.0
    model = replace(
        with_none(plain, 4.0), detectors=Detectors(("glazed",), slopes, np.array([0.0]))
    )
    glazed = judge(measured(60, shine=8, doubt=0), model)
    assert (glazed.label, glazed.possible, codes(glazed)) == (None, ("none",), [])
    assert glazed.findings["glazed"] > 0.9
    assert glazed.findings["ash"] is None
    assert codes(judge(measured(60, shine=0.5, doubt=0), model)) == ["outside_model"]


def with_none(plain, offset):
    """A model with "none" among its labels, likelier than the others by so much, as ln odds."""
    curves = plain.curves
    slopes = np.concatenate([curves.slopes, np.zeros_like(curves.slopes[:1])])
    offsets = np.array([0.0, 0, 0, 0, 0, offset])
    return replace(
        plain,
        labels=LABELS,
        curves=replace(curves, slopes=slopes, offsets=offsets),
        shifts=np.zeros(6),
        least=dict.fromkeys(LABELS, 0.3),
        medians=np.concatenate([plain.medians, plain.medians[:1]]),
        known=replace(plain.known, middles=np.zeros((6, len(NAMES)))),
    )


def test_where_findings_alone_would_describe_it_no_condition_is_given():
    """No finding is trained here, and the record asks for one beside "none"."""
    model = with_none(plain_model(lightness={"unused": 20}), 40.0)
    condition = judge(measured(95, doubt=0), model)
    assert codes(condition) == ["outside_model"]
    assert condition.label in CONDITIONS
    assert sum(condition.probabilities.values()) == pytest.approx(1)


@settings(max_examples=60)
@given(
    st.floats(0, 100), st.floats(1, 60), st.floats(0, 1), st.floats(0.01, 30), st.floats(-50, 50)
)
def test_probabilities_are_probabilities_and_the_likeliest_label_is_possible(
    lightness, shine, specks, doubt, beside
):
    measurement = measured(lightness, shine, specks, doubt, nose_to_strap=beside)
    condition = judge(measurement, default_model())
    values = [condition.probabilities[label] for label in LABELS]
    assert all(0 <= p <= 1 for p in values)
    assert sum(values) == pytest.approx(1)
    assert condition.possible[0] == max(LABELS, key=lambda k: condition.probabilities[k])
    assert condition.label == condition.possible[0]
    assert all(p is None or 0 <= p <= 1 for p in condition.findings.values())
    assert bool(condition.reasons) or len(condition.possible) == 1
