"""A model taught on a shop's plugs: what it keeps of the default, what it makes its own."""

import hashlib
from dataclasses import replace

import numpy as np
import pytest

from tests.teaching.made import knowing_model, made_rows
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.model import load_model
from tipvision.teaching.teach import answers_of, cross_judged, judged_by, rival_judged, teach
from tipvision.teaching.writing import write_model

DEFAULT = knowing_model()


@pytest.fixture(scope="module")
def many():
    return made_rows(125, photos=2, shift=-15)


@pytest.fixture(scope="module")
def taught(many):
    return teach(many, DEFAULT, "shop-1", "1")


def test_enough_plugs_calibrate_anew_and_few_keep_the_calibration(taught):
    assert taught.own_calibration
    assert taught.model.sharpness != DEFAULT.sharpness
    few = teach(made_rows(95, shift=-15), DEFAULT, "shop-2", "1")
    assert not few.own_calibration
    assert few.model.sharpness == DEFAULT.sharpness
    assert few.model.least == DEFAULT.least
    np.testing.assert_array_equal(few.model.shifts, DEFAULT.shifts)


def test_its_sets_hold_the_truth_of_plugs_it_has_not_seen(taught):
    others = made_rows(500, seed=21, shift=-15)
    judged = judged_by(others, taught.model)
    inside = [t in one.possible for t, one in zip(others.label, judged, strict=True)]
    assert np.mean(inside) > 0.92
    right = np.mean(np.array(answers_of(judged)) == others.label)
    assert right > np.mean(np.array(answers_of(judged_by(others, DEFAULT))) == others.label)


def test_thresholds_of_conditions_keep_their_proportions_and_answer(taught):
    usual = np.array([DEFAULT.least[name] for name in CONDITIONS])
    factors = np.array([taught.model.least[name] for name in CONDITIONS]) / usual
    np.testing.assert_allclose(factors, factors[0])
    judged = judged_by(made_rows(200, seed=22, shift=-15), taught.model)
    assert np.mean([len(one.possible) == 1 for one in judged]) > 0.5


def test_the_shops_plugs_are_known_to_it(many):
    tight = replace(DEFAULT, known=replace(DEFAULT.known, farthest=1e-6))
    model = teach(many, tight, "shop-1", "1").model
    assert np.mean([one.outside for one in judged_by(many, model)]) <= 0.02
    assert all(one.outside for one in judged_by(many, tight))


def test_what_is_usual_moves_towards_the_shop(taught):
    k, share = CONDITIONS.index("normal"), 25 / 45
    moved = taught.model.medians[k, 0] - DEFAULT.medians[k, 0]
    assert moved == pytest.approx(-15 * share, abs=2.0)


def test_the_same_rows_give_the_same_arrays_and_are_judged_as_fitted(taught, many, tmp_path):
    again = teach(many, DEFAULT, "shop-1", "1")
    digests = set()
    for name, one in (("a", taught), ("b", again)):
        write_model(tmp_path / name, one.model, "a test", [], {})
        digests.add(hashlib.sha256((tmp_path / name / "arrays.npz").read_bytes()).hexdigest())
    assert len(digests) == 1
    stored = load_model(tmp_path / "a")
    for ours, theirs in zip(
        judged_by(many, taught.model)[:20], judged_by(many, stored)[:20], strict=True
    ):
        assert theirs.probabilities == pytest.approx(ours.probabilities, abs=1e-4)


def test_judging_by_turns_never_asks_about_a_plug_it_has_learnt():
    """Labels dealt out by chance cannot be told better than by chance."""
    rows = made_rows(60)
    rng = np.random.default_rng(5)
    rows = replace(rows, label=rng.permutation(rows.label))
    told = np.array(answers_of(cross_judged(rows, DEFAULT)))
    assert np.mean(told == rows.label) < 0.4


def test_a_condition_that_the_shop_lacks_is_not_forgotten():
    rows = made_rows(100, shift=-5)
    rows = rows.where(rows.label != "unused")
    model = teach(rows, DEFAULT, "shop-1", "1").model
    others = made_rows(100, seed=4, shift=-5)
    told = np.array(answers_of(judged_by(others, model)))
    assert np.mean(told[others.label == "unused"] == "unused") > 0.25


def test_a_rival_is_not_flattered_by_plugs_that_it_has_learnt():
    """Labels dealt out by chance: the rival knows them by heart, but not of plugs left out."""
    rows = made_rows(60)
    rows = replace(rows, label=np.random.default_rng(6).permutation(rows.label))
    rival = teach(rows, DEFAULT, "shop-1", "1").model
    seen = rows.plug < 45
    told, itself = rival_judged(rows, rival, seen, DEFAULT), judged_by(rows, rival)
    changed = [a.probabilities != b.probabilities for a, b in zip(told, itself, strict=True)]
    np.testing.assert_array_equal(changed, seen)


def test_a_rival_that_learnt_from_too_few_of_them_is_asked_itself():
    rows = made_rows(50)
    told, itself = rival_judged(rows, DEFAULT, rows.plug < 5, DEFAULT), judged_by(rows, DEFAULT)
    assert [one.probabilities for one in told] == [one.probabilities for one in itself]
