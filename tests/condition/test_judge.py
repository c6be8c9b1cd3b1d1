"""The judgement is a probability, widens with doubt, and refuses what it does not know."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.condition.condition import CONDITIONS, LABELS
from tipvision.condition.judge import allowed, judge
from tipvision.condition.model import default_model
from tipvision.measure.measurement import Measurement

MODEL = default_model()
# A plain example of each look: colour, shine, specks.
LOOKS = {
    "normal": ((62, 4, 15), 1.5, 0.0),
    "dry_black": ((21, 0.5, 1), 1.7, 0.0),
    "wet_black": ((20, 3, 6), 7.0, 0.0),
    "chalk_white": ((91, 0, 3), 1.25, 0.1),
    "unused": ((93, 0, 2), 1.6, 0.0),
}
WHITES = {"chalk_white", "unused"}


def measured(
    lab: tuple[float, float, float], shine: float, specks: float, doubt: float = 1.0
) -> Measurement:
    colour = np.asarray(lab, float)
    steps = np.linspace(-1.7, 1.7, 24)[:, None] * (doubt, 0.1 * doubt, 0.2 * doubt)
    return Measurement(
        lab=colour,
        sd=np.array([doubt, doubt / 10, doubt / 5]),
        samples=colour + steps,
        zones=colour[None],
        weights=np.ones(1),
        bands={},
        shares={},
        shine=shine,
        texture=1.0,
        evenness=1.0,
        specks=specks,
        glare=0.0,
        clipped=0.0,
    )


@pytest.mark.parametrize("label", CONDITIONS)
def test_a_textbook_look_under_a_known_light_is_named(label):
    condition = judge(measured(*LOOKS[label]), MODEL)
    assert condition.label == label
    if label in WHITES:  # dark specks alone part them: the other may stay open beside the answer
        assert set(condition.possible) <= WHITES
    else:
        assert condition.possible == (label,)
        assert condition.reasons == ()


def test_white_without_a_sign_of_heat_is_not_overheated():
    """Common practice: white alone is not overheated."""
    condition = judge(measured((91, 0, 3), 1.3, 0.0), MODEL)
    assert condition.possible != ("chalk_white",)
    assert condition.label != "chalk_white"


def test_black_between_dry_and_wet_asks_for_a_low_lamp():
    shines = np.geomspace(1.7, 7, 40)
    codes = {
        r.code for s in shines for r in judge(measured((20.5, 2, 4), float(s), 0), MODEL).reasons
    }
    assert codes == {"dry_or_wet"}


@pytest.mark.parametrize("label", CONDITIONS)
def test_doubt_in_the_light_never_makes_the_answer_surer(label):
    lab, shine, specks = LOOKS[label]
    answers = [judge(measured(lab, shine, specks, d), MODEL) for d in (0.5, 8, 20)]
    sizes = [len(a.possible) for a in answers]
    assert sizes == sorted(sizes)
    assert max(answers[2].probabilities.values()) < max(answers[0].probabilities.values())


def test_a_colour_like_no_plug_is_refused():
    condition = judge(measured((50, 60, -40), 1.5, 0.0), MODEL)
    assert [r.code for r in condition.reasons] == ["outside_model"]


@given(
    st.tuples(st.floats(0, 100), st.floats(-20, 30), st.floats(-20, 40)),
    st.floats(1, 60),
    st.floats(0, 1),
    st.floats(0.01, 30),
)
def test_probabilities_are_probabilities_and_the_likeliest_label_is_possible(
    lab, shine, specks, doubt
):
    condition = judge(measured(lab, shine, specks, doubt), MODEL)
    values = [condition.probabilities[label] for label in LABELS]
    assert all(0 <= p <= 1 for p in values)
    assert sum(values) == pytest.approx(1)
    assert condition.possible[0] == max(LABELS, key=lambda k: condition.probabilities[k])
    assert sum(condition.probabilities[k] for k in condition.possible) >= MODEL.coverage
    assert set(condition.findings.values()) == {None}
    assert bool(condition.reasons) or len(condition.possible) == 1


@given(st.lists(st.floats(0.001, 1), min_size=6, max_size=6), st.floats(0.3, 0.99))
def test_more_coverage_never_shrinks_the_answer(weights, coverage):
    total = sum(weights)
    probabilities = {k: w / total for k, w in zip(LABELS, weights, strict=True)}
    smaller, larger = allowed(probabilities, coverage / 2), allowed(probabilities, coverage)
    assert larger[: len(smaller)] == smaller


def test_evidence_begins_with_what_parts_the_answer_from_the_next():
    condition = judge(measured(*LOOKS["wet_black"]), MODEL)
    first, *others = condition.evidence
    assert "7.0 times" in first  # oil and soot are alike in colour: shine decides
    assert "wet black" in first
    assert "dry black" in first
    assert any("L* 20" in sentence for sentence in others)


def test_an_uncertain_model_is_what_slip_makes():
    surest = judge(measured(*LOOKS["normal"]), MODEL).probabilities["normal"]
    doubtful = judge(measured(*LOOKS["normal"]), replace(MODEL, slip=0.3)).probabilities["normal"]
    assert doubtful < surest < 1
