"""Simulated shops are shops: their own looks, and no plug that teaches is asked about."""

import numpy as np
import pytest

from pipelines.bench.shops import SIZES, dealt, from_scratch, interval_of, moved, score
from tests.teaching.made import knowing_model, made_rows
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.features import ONCE, SEEN, UNDER_LIGHT

ROWS = made_rows(400, photos=2)


def test_a_shop_is_moved_as_a_whole_and_condition_by_condition():
    shop = moved(ROWS, np.random.default_rng(1))
    away = shop.once - ROWS.once
    plain = ONCE.index("glare")
    assert np.ptp(away[:, plain]) == pytest.approx(0.0, abs=1e-6)
    shine = ONCE.index("shine")
    for name in CONDITIONS:
        assert np.ptp(away[ROWS.label == name, shine]) == pytest.approx(0.0, abs=1e-5)
    assert np.ptp(away[:, shine]) > 0.01
    flags = [ONCE.index(name) for name in SEEN]
    np.testing.assert_array_equal(shop.once[:, flags], ROWS.once[:, flags])


def test_what_follows_from_the_colour_follows_it():
    shop = moved(ROWS, np.random.default_rng(2))
    level, tint = shop.under_light[..., 0], UNDER_LIGHT.index("red_tint")
    red = shop.under_light[..., UNDER_LIGHT.index("red")]
    np.testing.assert_allclose(shop.under_light[..., tint], red / (level + 16), rtol=1e-4)
    assert level.min() >= 0 and level.max() <= 100
    np.testing.assert_allclose(shop.lab[:, 0], level.mean(axis=1), rtol=1e-4)


def test_all_sizes_are_asked_about_the_same_plugs_and_none_that_teaches():
    asked = []
    for size in SIZES:
        taught, ask = dealt(ROWS, size, np.random.default_rng(3))
        assert not set(ROWS.plug[taught]) & set(ROWS.plug[ask])
        for name in CONDITIONS:
            assert len(np.unique(ROWS.plug[taught & (ROWS.label == name)])) == size
        asked.append(ask)
    for ask in asked[1:]:
        np.testing.assert_array_equal(ask, asked[0])


def test_a_pool_that_is_too_small_is_refused():
    with pytest.raises(ValueError, match="normal: 40 plugs; 60 are needed"):
        dealt(made_rows(200), 5, np.random.default_rng(0))


def test_a_score_is_that_of_plugs_and_scratch_learns_the_rules():
    some = ROWS.where(ROWS.plug < 50)
    curves = from_scratch(some)
    others = made_rows(100, seed=9)
    assert score(others, curves) > 0.7
    assert score(others, knowing_model().curves) > 0.7


def test_the_interval_is_of_the_mean():
    assert interval_of(np.full(20, 0.5)) == "+0.500 (95 % interval +0.500 to +0.500)"
