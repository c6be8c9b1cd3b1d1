"""Photos of one plug: order is nothing, copies prove little, agreement proves a little more."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from tests.condition.examples import measured, plain_model
from tipvision.condition.condition import CONDITIONS, FINDINGS, LABELS
from tipvision.condition.judge import judge
from tipvision.condition.together import (
    BY_CHANCE,
    SHARED,
    disagree,
    pooled,
    strongest,
    tempered,
    together,
)

MODEL = plain_model(lightness={"chalk_white": 30, "unused": 20, "normal": 15, "dry_black": -10})
FLAT = dict.fromkeys(CONDITIONS, 0.2) | {"none": 0.0}


def chances(*shares: float, none: float = 0.0) -> dict[str, float]:
    values = np.array(shares) / np.sum(shares) * (1 - none)
    return {**dict(zip(CONDITIONS, values.tolist(), strict=True)), "none": none}


shares = st.lists(st.floats(1e-4, 1.0), min_size=5, max_size=5)
photo = st.builds(
    lambda values, none: chances(*values, none=none), shares, st.sampled_from([0, 0.7])
)


@given(st.lists(photo, min_size=1, max_size=4))
def test_probabilities_sum_to_one_in_any_order_of_the_photos(photos):
    told = pooled(photos)
    assert tuple(told) == LABELS
    assert sum(told.values()) == pytest.approx(1)
    assert all(pooled(order) == told for order in permutations(photos))


@given(photo)
def test_one_photo_says_what_it_says_alone(one):
    assert pooled([one]) == pytest.approx(one, abs=1e-9)


@given(photo)
def test_a_photo_twice_is_hardly_surer_than_once(one):
    once, twice = (np.log([pooled(p)[label] for label in CONDITIONS]) for p in ([one], [one, one]))
    growth = 2 / (1 + SHARED)
    assert 1 < growth < 1.1
    np.testing.assert_allclose(np.diff(twice), growth * np.diff(once), atol=1e-6)


def test_two_that_agree_are_surer_than_one_and_two_that_do_not_are_less_sure():
    dry, wet = chances(1, 60, 30, 1, 1), chances(1, 30, 60, 1, 1)
    other = chances(1, 60, 25, 2, 1)
    assert pooled([dry, other])["dry_black"] > max(dry["dry_black"], 0.63)
    both = pooled([dry, wet])
    assert both["dry_black"] == pytest.approx(both["wet_black"])
    assert both["dry_black"] < dry["dry_black"]


@given(photo)
def test_a_photo_that_tells_nothing_changes_nothing(one):
    assert pooled([one, FLAT, FLAT]) == pytest.approx(pooled([one]), abs=1e-9)
    assert pooled([FLAT, FLAT]) == pytest.approx(FLAT)


def test_even_a_certainty_is_a_number():
    sure = chances(1, 0, 0, 0, 0)
    told = pooled([sure, chances(0, 1, 0, 0, 0)])
    assert told["normal"] == pytest.approx(told["dry_black"])
    assert np.isfinite(list(told.values())).all()
    with pytest.raises(ValueError, match="no photo"):
        pooled([])


def test_photos_that_share_all_their_errors_are_worth_one_and_those_that_share_none_add_up():
    evidence = np.array([[1.0, -1.0], [1.0, -1.0], [1.0, -1.0]])
    np.testing.assert_allclose(tempered(evidence, 1.0), [1, -1])
    np.testing.assert_allclose(tempered(evidence, 0.0), [3, -3])
    np.testing.assert_allclose(tempered(evidence, 0.5), [1.5, -1.5])


def test_none_is_weighed_by_the_photos_that_leave_it_open():
    ashen, plain = chances(5, 1, 1, 1, 1, none=0.8), chances(5, 1, 1, 1, 1)
    assert pooled([ashen, plain])["none"] == pytest.approx(0.8)
    assert pooled([ashen, ashen])["none"] > 0.8


def test_a_finding_counts_as_in_the_photo_that_shows_it_best():
    blank: dict[str, float | None] = dict.fromkeys(FINDINGS)
    told = strongest([blank | {"ash": 0.2}, blank | {"ash": 0.9, "dust": 0.1}, blank])
    assert told == blank | {"ash": 0.9, "dust": 0.1}


@pytest.mark.parametrize(
    ("sets", "apart"),
    [
        ([["normal"]], False),
        ([["normal"], ["normal", "unused"]], False),
        ([["normal"], ["unused"]], True),
        ([["normal"], ["normal"], ["unused"]], False),
        ([["normal"], ["dry_black"], ["unused"]], True),
        ([["normal"], ["normal"], ["unused"], ["unused"]], True),
    ],
)
def test_photos_disagree_when_their_sets_lie_apart(sets, apart):
    assert disagree(sets, 0.95) is apart


def test_disagreement_is_held_to_the_binomial():
    """Reference library: scipy."""
    for count in range(2, 12):
        for misses in range(1, count // 2):
            sets = [["normal"]] * (count - misses) + [["unused"]] * misses
            rare = binom.sf(misses - 1, count, 0.05) < BY_CHANCE
            assert disagree(sets, 0.95) is bool(rare)


def test_photos_of_two_plugs_come_out_as_undecided_with_all_that_they_allow():
    white, black = (judge(measured(level, specks=0.1), MODEL) for level in (95, 5))
    assert not set(white.possible) & set(black.possible)
    told = together([white, black], True, MODEL)
    assert [reason.code for reason in told.reasons] == ["undecided"]
    assert "photos" in told.reasons[0].text
    assert {*white.possible, *black.possible} <= set(told.possible)
    assert told.possible[0] == max(told.probabilities, key=lambda k: told.probabilities[k])


def test_a_plug_that_one_photo_calls_unlike_any_stays_so():
    known = judge(measured(70), MODEL)
    strange = replace(MODEL, known=replace(MODEL.known, farthest=1e-9))
    told = together([known, judge(measured(70), strange)], False, MODEL)
    assert [reason.code for reason in told.reasons] == ["outside_model"]


def test_white_needs_a_sign_of_heat_in_one_of_the_photos():
    """Common practice: white alone is not overheated."""
    model = plain_model(lightness={"chalk_white": 40})
    photos = [judge(measured(95, specks=s, doubt=0), model) for s in (0.1, 0.0)]
    assert together(photos, True, model).possible == ("chalk_white",)
    assert len(together(photos, False, model).possible) == 2
