import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.workshop.heat_range import CHANGES, SCALES, TOWARDS, heat_range_step

NUMBER = st.none() | st.integers(0, 40)
SCALE = st.none() | st.sampled_from(SCALES)
SIDE = st.none() | st.sampled_from(TOWARDS)


@pytest.mark.parametrize(
    ("scale", "towards", "after"),
    [
        ("higher_is_colder", "colder", 8),
        ("higher_is_colder", "hotter", 6),
        ("higher_is_hotter", "colder", 6),
        ("higher_is_hotter", "hotter", 8),
        ("higher_is_colder", None, 8),
        ("higher_is_hotter", None, 6),
    ],
)
def test_the_scale_is_never_assumed(scale: str, towards: str | None, after: int) -> None:
    worked = heat_range_step(7, scale, towards, "use")
    assert worked.numbers["next"] == after
    assert ("In doubt" in worked.sentences[0]) == (towards is None)


@given(NUMBER, SCALE, SIDE, st.none() | st.sampled_from(CHANGES))
def test_never_two_steps_and_never_on_colour_alone(
    number: int | None, scale: str | None, side: str | None, changed: str | None
) -> None:
    worked = heat_range_step(number, scale, side, changed)
    step = worked.numbers["next"]
    assert step is None or (number is not None and abs(step - number) == 1)
    assert "never_leaner_or_hotter" in worked.cautions
    if changed is None:
        assert step is None and worked.sentences[0].startswith("Stay")
    if scale is None:
        assert step is None


def test_the_reading_after_load_stands_with_its_cautions() -> None:
    reading = {"engine_cold", "ignition_off", "closed_ground", "no_load_stop"}
    assert reading <= set(heat_range_step(7, None, None, "use").cautions)
    assert not reading & set(heat_range_step(7, None, None, None).cautions)


def test_without_the_scale_the_tool_asks() -> None:
    worked = heat_range_step(7, None, "colder", "fuel")
    assert worked.numbers["next"] is None
    assert "run either way" in worked.sentences[1]


def test_no_plug_below_zero_is_invented() -> None:
    worked = heat_range_step(0, "higher_is_hotter", "colder", "use")
    assert worked.numbers["next"] is None and "no colder plug" in worked.sentences[1]


@pytest.mark.parametrize(
    "wrong", [(-1, None, None, None), (7, "up", None, None), (7, None, None, "colour")]
)
def test_unknown_words_are_refused(wrong: tuple[int, None, None, None]) -> None:
    with pytest.raises(ValueError):
        heat_range_step(*wrong)
