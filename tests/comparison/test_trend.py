import numpy as np
import pytest
from scipy.stats import binom

from tipvision.comparison.earlier import Earlier
from tipvision.comparison.trend import trend_of


def readings(lightness: list[float], sd: list[float] | float = 4.0) -> list[Earlier]:
    spread = sd if isinstance(sd, list) else [sd] * len(lightness)
    return [
        Earlier(None, (value, 0.0, 0.0), (own, 1.0, 1.0), None)
        for value, own in zip(lightness, spread, strict=True)
    ]


def test_two_readings_give_their_difference() -> None:
    trend = trend_of(readings([60.0, 40.0], [3.0, 4.0]))
    assert trend is not None
    assert (trend.change, trend.sd) == pytest.approx((-20.0, 5.0))
    assert trend.is_real


def test_a_straight_line_is_found_against_numpy() -> None:
    values, sd = [70.0, 58.0, 61.0, 44.0], [2.0, 5.0, 3.0, 4.0]
    trend = trend_of(readings(values, sd))
    slope, _ = np.polyfit(np.linspace(0, 1, 4), values, 1, w=1 / np.array(sd))
    assert trend is not None and trend.change == pytest.approx(slope)


def test_one_reading_is_no_trend() -> None:
    assert trend_of(readings([60.0])) is None and trend_of([]) is None


def test_the_interval_holds_the_true_change_as_often_as_it_says() -> None:
    random, runs, sd = np.random.default_rng(2), 1000, [3.0, 9.0, 6.0, 4.0]
    held = 0
    for _ in range(runs):
        values = np.linspace(60.0, 45.0, 4) + np.array(sd) * random.standard_normal(4)
        trend = trend_of(readings(list(values), sd))
        assert trend is not None
        held += abs(trend.change + 15.0) <= 1.96 * trend.sd
    assert binom.ppf(0.001, runs, 0.95) <= held <= binom.ppf(0.999, runs, 0.95)


def test_what_the_doubt_explains_is_no_trend() -> None:
    trend = trend_of(readings([60.0, 55.0, 58.0], 13.0))
    assert trend is not None and not trend.is_real
