"""The fit: its gradient, its two ends, and what it finds in a shop with other lamps."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import check_grad
from sklearn.linear_model import LogisticRegression

from tests.teaching.made import knowing_model, made_rows
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.features import NAMES
from tipvision.teaching.adapting import (
    _loss,
    adapted,
    aligned,
    chances_of,
    fitted,
    lesson_of,
    parts_of,
    weights_of,
)

MODEL = knowing_model()


def right(chances, rows):
    return float(np.mean(np.array(CONDITIONS)[chances.argmax(axis=1)] == rows.label))


def test_the_gradient_is_that_of_the_loss():
    lesson = lesson_of(made_rows(15), MODEL.curves)
    shape = (len(CONDITIONS), lesson.columns.shape[2])
    start = np.random.default_rng(0).standard_normal(shape[0] * (shape[1] + 1))

    def parts(flat):
        return flat[: -shape[0]].reshape(shape), flat[-shape[0] :]

    def gradient(flat):
        _, slopes, offsets = _loss(lesson, *parts(flat))
        return np.concatenate([slopes.ravel(), offsets])

    assert check_grad(lambda flat: _loss(lesson, *parts(flat))[0], gradient, start) < 1e-4


def test_pulled_towards_nothing_it_is_ridge_regression():
    rows = made_rows(100)
    empty = replace(MODEL.curves, offsets=np.zeros(5), slopes=1e-9 * (MODEL.curves.slopes != 0))
    lesson = replace(lesson_of(rows, empty), weights=np.ones(len(rows)))
    ours = fitted(lesson, empty, empty, pull=4.0)
    draws = lesson.columns.shape[1]
    theirs = LogisticRegression(C=1 / 4.0, tol=1e-8, max_iter=1000).fit(
        lesson.columns.reshape(len(rows) * draws, -1),
        np.repeat(lesson.truth, draws),
        sample_weight=np.full(len(rows) * draws, 1 / draws),
    )
    np.testing.assert_allclose(ours.slopes[:, lesson.used], theirs.coef_, atol=0.05)


def test_a_strong_pull_leaves_the_slopes_where_they_were():
    lesson = lesson_of(made_rows(50), MODEL.curves)
    found = fitted(lesson, MODEL.curves, MODEL.curves, pull=1e9)
    np.testing.assert_allclose(found.slopes, MODEL.curves.slopes, atol=1e-5)


def test_where_the_search_begins_does_not_matter():
    lesson = lesson_of(made_rows(50, shift=-15), MODEL.curves)
    near = fitted(lesson, MODEL.curves, MODEL.curves, 3.0)
    far = replace(MODEL.curves, slopes=MODEL.curves.slopes * 0.2)
    again = fitted(lesson, MODEL.curves, far, 3.0)
    np.testing.assert_allclose(chances_of(lesson, near), chances_of(lesson, again), atol=0.01)


def test_a_shop_whose_photos_are_darker_is_learnt_from_five_plugs_each():
    shop, others = made_rows(25, shift=-25), made_rows(200, seed=8, shift=-25)
    before = right(chances_of(lesson_of(others, MODEL.curves), MODEL.curves), others)
    found = adapted(shop, MODEL.curves, MODEL.medians)
    after = right(chances_of(lesson_of(others, found.curves), found.curves), others)
    assert after > before + 0.15
    assert found.moved
    assert found.held_out.sum(axis=1) == pytest.approx(1.0)


def test_few_plugs_do_not_pick_a_weak_pull_by_luck_and_many_may():
    few = [adapted(made_rows(25, seed=k), MODEL.curves, MODEL.medians).pull for k in range(4)]
    assert min(few) >= 100.0
    assert adapted(made_rows(500, seed=0), MODEL.curves, MODEL.medians).pull <= 10.0


def test_aligning_goes_most_of_the_way_and_only_where_the_shop_differs():
    found = aligned(made_rows(500, shift=-20), MODEL.curves, MODEL.medians)
    way = (found.knots - MODEL.curves.knots)[:, 0]
    assert way[NAMES.index("lightness")] == pytest.approx(-20 * 100 / 105, abs=1.0)
    assert np.abs(np.delete(way, NAMES.index("lightness"))).max() < 0.1


def test_no_plug_is_learnt_from_and_held_out():
    rows = made_rows(60, photos=3)
    for learn, hold in parts_of(rows):
        assert not set(rows.plug[learn]) & set(rows.plug[hold])


def test_photos_of_a_plug_share_its_weight_and_conditions_weigh_the_same():
    plug, truth = np.array([0, 0, 0, 1, 2, 3]), np.array([0, 0, 0, 0, 0, 1])
    weights = weights_of(plug, truth)
    assert weights.sum() == pytest.approx(4.0)
    assert weights[truth == 0].sum() == pytest.approx(weights[truth == 1].sum())
    assert weights[:3].sum() == pytest.approx(weights[3])
