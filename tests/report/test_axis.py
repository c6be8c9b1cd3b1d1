from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import lab2rgb

from tipvision.measure.bands import load_bands
from tipvision.report.axis import WIDTH, Measured, draw_axis, hex_colour, lanes, position, span

LIGHTNESS = st.floats(-50.0, 150.0)
EXTENTS = st.lists(
    st.tuples(st.floats(0, 400), st.floats(0, 200)).map(lambda p: (p[0], p[0] + p[1])), max_size=8
)


@given(LIGHTNESS, LIGHTNESS)
def test_lighter_lies_further_right_within_the_drawing(one: float, other: float) -> None:
    dark, light = sorted((one, other))
    assert 0.0 <= position(dark) <= position(light) <= WIDTH


def test_the_axis_is_even() -> None:
    steps = [b - a for a, b in pairwise(position(v) for v in range(0, 101, 10))]
    assert steps == pytest.approx([steps[0]] * 10) and steps[0] > 0


@given(st.floats(0.0, 100.0), st.floats(0.0, 60.0), st.floats(0.1, 3.0))
def test_a_span_holds_its_mean(mean: float, sd: float, reach: float) -> None:
    x0, x1 = span(mean, sd, reach)
    assert position(0.0) <= x0 <= position(mean) <= x1 <= position(100.0)


@given(EXTENTS)
def test_nothing_touches_in_its_lane_and_no_lane_is_idle(
    extents: list[tuple[float, float]],
) -> None:
    chosen = lanes(extents)
    assert sorted(set(chosen)) == list(range(len(set(chosen))))
    for lane in set(chosen):
        mine = sorted(e for e, own in zip(extents, chosen, strict=True) if own == lane)
        assert all(a[1] < b[0] for a, b in pairwise(mine))


def test_lanes_by_hand() -> None:
    assert lanes([(0.0, 50.0), (40.0, 90.0), (70.0, 99.0), (200.0, 210.0)]) == [0, 1, 0, 0]


def test_dry_and_wet_black_do_not_hide_each_other() -> None:
    swatches = {swatch.name: swatch for swatch in draw_axis(load_bands()).swatches}
    dry, wet = swatches["dry_black"], swatches["wet_black"]
    assert dry.x0 < wet.x1 and wet.x0 < dry.x1  # they overlap in lightness
    assert dry.y != wet.y


def test_the_bands_span_two_standard_deviations_and_differ_in_pattern() -> None:
    bands, axis = load_bands(), draw_axis(load_bands())
    assert axis.marks == ()
    assert len({swatch.pattern for swatch in axis.swatches}) == len(bands) == 4
    for band, swatch in zip(bands, axis.swatches, strict=True):
        low, high = (band.mean[0] + k * band.sd[0] for k in (-2, 2))
        assert (swatch.x0, swatch.x1) == pytest.approx((position(low), position(high)))
        assert 0 < swatch.text_y < swatch.y < swatch.y + axis.swatch_height < axis.base
    assert axis.base < axis.height


def measured(lightness: float, sd: float, name: str = "this nose") -> Measured:
    return Measured(name, np.array([lightness, 0, 0]), np.array([sd, 1, 1]))


@given(st.floats(0.0, 100.0), st.floats(0.0, 40.0))
def test_the_mark_is_the_95_percent_interval(lightness: float, sd: float) -> None:
    (mark,) = draw_axis(load_bands(), [measured(lightness, sd)]).marks
    assert 0.0 <= mark.x0 <= mark.x <= mark.x1 <= WIDTH
    assert mark.low == pytest.approx(max(lightness - 1.96 * sd, 0.0))
    assert mark.high == pytest.approx(min(lightness + 1.96 * sd, 100.0))


@given(st.floats(0.0, 100.0), st.floats(0.0, 20.0), st.integers(1, 24))
def test_the_name_of_a_mark_stays_in_the_drawing(lightness: float, sd: float, long: int) -> None:
    (mark,) = draw_axis(load_bands(), [measured(lightness, sd, "n" * long)]).marks
    wide = 6.6 * len(mark.text)
    assert mark.text.startswith(mark.name)
    assert mark.x1 < mark.text_x or mark.text_x < mark.x0  # beside the interval, never on it
    room = max(mark.x0 - 30, WIDTH - mark.x1 - 30)
    if room > 6.6 * long:
        assert (mark.text_x - wide if mark.ends else mark.text_x) >= 0
        assert (mark.text_x if mark.ends else mark.text_x + wide) <= WIDTH


def test_marks_stand_below_each_other_between_bands_and_ramp() -> None:
    names = ["cylinder 1", "cylinder 2", "cylinder 3"]
    axis = draw_axis(load_bands(), [measured(40.0, 5.0, name) for name in names])
    heights = [mark.y for mark in axis.marks]
    lowest = max(swatch.y + axis.swatch_height for swatch in axis.swatches)
    assert [mark.name for mark in axis.marks] == names
    assert all(b - a > 24 for a, b in pairwise([lowest - 12, *heights, axis.base + 12]))


@pytest.mark.parametrize(
    "lab", [(0, 0, 0), (22, 0.6, 1.5), (63.7, 3.3, 14.0), (91, -0.4, 3.1), (100, 0, 0)]
)
def test_swatch_colours_agree_with_scikit_image(lab: tuple[float, float, float]) -> None:
    code = hex_colour(np.array(lab, np.float64))
    mine = [int(code[k : k + 2], 16) for k in (1, 3, 5)]
    assert np.abs(np.array(mine) - 255 * lab2rgb(np.array(lab, np.float64))).max() <= 1.0


def test_colours_outside_srgb_are_clipped() -> None:
    assert hex_colour(np.array([60.0, 120.0, 0.0])).startswith("#ff")
