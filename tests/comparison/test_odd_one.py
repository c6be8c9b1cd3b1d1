"""The odd one out: by simulation, it is named no more often than said, and mostly found."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, chi2, norm

from tests.report import samples, sets
from tipvision.comparison.doubt import Colour
from tipvision.comparison.odd_one import FALSE_ALARM, apart_by_colour, chance_of, compare
from tipvision.light.draws import gaussian_draws
from tipvision.record.reason import reason

PLUGS = 4
OWN = np.diag([0.04, 0.0004, 0.0009])  # in the coordinates of `doubt.logarithms`
LIGHT = np.linalg.cholesky(np.array([[0.4, 0.01, 0.02], [0.01, 0.01, 0.0], [0.02, 0.0, 0.02]]))


@given(st.floats(-9.0, 9.0), st.floats(-6.0, 6.0), st.floats(-6.0, 6.0))
def test_the_chance_against_scipy(level: float, red: float, blue: float) -> None:
    covariance = np.array([[4.0, 0.5, 0.2], [0.5, 1.0, 0.3], [0.2, 0.3, 2.0]])
    tint = np.array([red, blue])
    square = tint @ np.linalg.inv(covariance[1:, 1:]) @ tint
    least = min(2 * norm.sf(abs(level) / 2.0), chi2.sf(square, 2))
    chance = chance_of(np.array([level, red, blue]), covariance)
    assert chance == pytest.approx(min(1.0, 2 * least), rel=1e-9)


def simulated(seed: int, darker: float, one_light: bool) -> dict[int, Colour]:
    """Plugs of one engine, the third `darker` in ln Y, seen under a light that nobody measured."""
    random = np.random.default_rng(seed)
    shared = gaussian_draws(3) @ LIGHT.T
    colours = {}
    light = LIGHT @ random.standard_normal(3)
    for plug in range(PLUGS):
        if not one_light:
            light = LIGHT @ random.standard_normal(3)
        true = np.array([-1.2 - darker * (plug == 2), 0.1, -0.3])
        value = true + light + np.sqrt(np.diag(OWN)) * random.standard_normal(3)
        colours[plug] = Colour(value, "one" if one_light else str(plug), shared, OWN)
    return colours


@pytest.mark.parametrize("one_light", [True, False])
def test_plugs_that_are_alike_are_seldom_called_uneven(one_light: bool) -> None:
    runs = 600
    alarms = sum(bool(apart_by_colour(simulated(seed, 0.0, one_light))) for seed in range(runs))
    assert alarms <= binom.ppf(0.999, runs, FALSE_ALARM)
    assert alarms >= 0.1 * FALSE_ALARM * runs  # and the test is not blind


def test_a_plug_that_differs_is_found_because_the_light_is_shared() -> None:
    def found(one_light: bool) -> int:
        sets_ = (apart_by_colour(simulated(seed, 1.2, one_light)) for seed in range(100))
        return sum(bool(apart) and apart[0].plug == 2 for apart in sets_)

    assert found(True) > 85
    assert found(False) < 50


def test_the_difference_is_told_as_a_ratio_of_light() -> None:
    (apart,) = apart_by_colour(simulated(4, 2.0, True))
    ratio, low, high = apart.light_ratio
    assert apart.plug == 2
    assert low < np.exp(-2.0) < high < 1.0 and low < ratio < high


def test_half_against_half_names_none() -> None:
    comparison = compare([sets.plug(value) for value in (15.0, 75.0, 16.0, 74.0)])
    assert comparison.by_colour == () and comparison.uneven


def test_of_two_plugs_none_is_the_odd_one() -> None:
    comparison = compare([sets.plug(64.0), sets.plug(15.0)])
    assert comparison.by_colour == () and comparison.uneven
    assert not compare([sets.plug(64.0), sets.plug(62.0)]).uneven
    assert not compare([sets.plug(64.0), samples.NOT_FOUND]).uneven


def test_a_settled_condition_that_no_other_has_stands_apart() -> None:
    alike = [sets.plug(20.0, "dry_black"), sets.plug(21.0, "dry_black")]
    wet = sets.plug(20.5, "wet_black")
    comparison = compare([*alike, wet])
    assert comparison.by_colour == () and comparison.by_condition == (2,) == comparison.odd
    unsettled = replace(wet, outcome="unclear")
    assert compare([*alike, unsettled]).by_condition == ()
    assert compare([alike[0], sets.plug(60.0), wet]).by_condition == ()


def test_plugs_that_were_not_measured_are_left_out() -> None:
    comparison = compare([samples.NOT_FOUND, *sets.ONE_DARK])
    assert comparison.measured == 4
    assert [apart.plug for apart in comparison.by_colour] == [3]
    assert compare([samples.NOT_A_PLUG, samples.UNREADABLE]).measured == 0


def test_the_common_condition() -> None:
    assert compare(sets.ALL_DARK).label == "dry_black"
    assert compare(sets.ONE_DARK).label is None


def test_a_settled_condition_stands_apart_from_others_that_are_open_but_agree() -> None:
    settled, wet = sets.plug(60.0, "normal"), sets.plug(20.5, "wet_black")
    undecided = replace(
        settled, outcome="unclear", reasons=(reason("undecided", labels="two", again="so"),)
    )
    still_open = replace(
        undecided, condition=replace(settled.condition, possible=("normal", "chalk_white"))
    )
    assert compare([wet, settled, still_open]).by_condition == (0,)
    dark = replace(still_open, reasons=(reason("too_dark"),))
    assert compare([wet, settled, dark]).by_condition == ()
