"""The figures of the card."""

import numpy as np
import pytest

from tests.teaching.made import knowing_model, made_rows
from tipvision.condition.condition import CONDITIONS
from tipvision.teaching.held_out import calibration_error, held_out_worth
from tipvision.teaching.plots import reliability_svg
from tipvision.teaching.teach import judged_by


def test_counts_add_up_and_rates_are_of_plugs():
    rows = made_rows(100, photos=2)
    found = held_out_worth(rows.label.tolist(), rows.plug, judged_by(rows, knowing_model()))
    assert sum(map(sum, found.confusion)) == 200
    assert sum(one.n for one in found.bins) == 200
    rates = {one.name: one for one in found.rates}
    assert rates["likeliest condition right"].n == 100
    hits = sum(found.confusion[k][k] for k in range(5))
    assert rates["likeliest condition right"].share == pytest.approx(hits / 200)
    for one in found.rates:
        assert one.n == 0 or one.low <= one.share <= one.high


def test_no_answers_are_none_to_count():
    rows = made_rows(10)
    judged = judged_by(rows, knowing_model())
    everything = [type(one)(**{**vars(one), "possible": CONDITIONS}) for one in judged]
    rates = {r.name: r for r in held_out_worth(rows.label.tolist(), rows.plug, everything).rates}
    assert rates["answered"].share == 0
    assert rates["right, of those answered"].n == 0
    assert rates["sets that hold the truth"].share == 1


def test_true_probabilities_have_the_error_of_chance_and_false_ones_more():
    rng = np.random.default_rng(0)
    sure = rng.uniform(0.3, 1.0, 20000)
    assert calibration_error(sure, rng.random(20000) < sure) < 0.02
    assert calibration_error(sure, rng.random(20000) < sure - 0.2) == pytest.approx(0.2, abs=0.02)


def test_the_calibration_error_is_the_distance_of_sure_from_right():
    sure = np.full(1000, 0.7)
    assert calibration_error(sure, np.arange(1000) < 700) == pytest.approx(0.0)
    assert calibration_error(sure, np.arange(1000) < 500) == pytest.approx(0.2)
    halves = np.repeat([0.4, 0.8], 500)
    right = np.concatenate([np.arange(500) < 250, np.arange(500) < 350])
    assert calibration_error(halves, right) == pytest.approx(0.1)


def test_the_plot_has_a_dot_for_each_bin():
    rows = made_rows(100)
    bins = held_out_worth(rows.label.tolist(), rows.plug, judged_by(rows, knowing_model())).bins
    drawn = reliability_svg(bins)
    assert drawn.count("<circle") == len(bins)
    assert "nan" not in drawn
