import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.workshop.gap import breakdown_kv, gap, gap_words

GAPS = st.floats(0.21, 3.0)


@pytest.mark.parametrize(("density", "kv"), [(4.0, 1.18), (8.0, 2.23)])
def test_a_tenth_of_a_millimetre_costs_voltage(density: float, kv: float) -> None:
    """From 0.8 to 0.9 mm; worked out by hand from 24.22·x + 6.08·√x."""
    assert breakdown_kv(0.9, density) - breakdown_kv(0.8, density) == pytest.approx(kv, abs=0.01)


def test_free_air_breaks_down_at_about_three_kilovolts_a_millimetre() -> None:
    """A textbook value from memory: about 30 kV over 1 cm of free air."""
    assert breakdown_kv(10.0, 1.0) == pytest.approx(30.3, abs=0.01)


def test_the_deviation_is_told_in_both_units_with_what_it_does() -> None:
    worked = gap(0.9, (0.7, 0.8))
    said = " ".join(worked.sentences)
    assert "0.90 mm (0.035 in); 0.70 to 0.80 mm (0.028 to 0.031 in)" in said
    assert "0.10 mm (0.004 in) too wide" in said and "misfires" in said and "11 % more" in said
    assert "fine_wire" in worked.cautions
    narrow = gap(0.5, (0.7, 0.8))
    assert "0.20 mm (0.008 in) too narrow" in narrow.sentences[1]
    assert "pre-ignition" in " ".join(narrow.sentences)


@given(GAPS, GAPS, GAPS)
def test_it_is_right_exactly_within_the_specification(one: float, other: float, at: float) -> None:
    low, high = sorted((one, other))
    worked = gap(at, (low, high))
    right = low - 1e-9 <= at <= high + 1e-9
    assert ("as it should be" in worked.sentences[1]) == right
    if not right:
        assert ("wide" in worked.sentences[1]) == (at > high)
    if "voltage_change_percent" in worked.numbers:
        assert ((worked.numbers["voltage_change_percent"] or 0) > 0) == (at > high)


@pytest.mark.parametrize("at", [0.796, 0.8049, 0.69])
def test_what_rounds_to_the_specification_is_still_outside(at: float) -> None:
    worked = gap(at, (0.7, 0.795))
    assert "as it should be" not in worked.sentences[1]
    assert ("measure it again" in worked.sentences[1]) == (at == 0.796)


def test_equal_lengths_in_different_units_are_equal() -> None:
    assert "as it should be" in gap(0.762, (0.7, 0.03 * 25.4)).sentences[1]


@pytest.mark.parametrize("specified", [None, (0.7, 0.8)])
@pytest.mark.parametrize("measured", [0.0, 0.05, 0.2])
def test_a_closed_gap_forbids_the_start(
    measured: float, specified: tuple[float, float] | None
) -> None:
    worked = gap(measured, specified)
    assert worked.cautions[0] == "do_not_start"
    assert worked.sentences[1:] == gap(0.0, None).sentences[1:]
    assert "until the cylinder has been looked into" in worked.sentences[1]
    assert "as it should" not in " ".join(worked.sentences)
    assert "voltage" not in " ".join(worked.sentences)


@pytest.mark.parametrize("specified", [None, (0.7, 0.8)])
def test_a_gap_wider_than_any_asks_for_a_look_at_the_electrodes(
    specified: tuple[float, float] | None,
) -> None:
    worked = gap(4.0, specified)
    assert "missing" in worked.sentences[0]
    assert worked.sentences[1].startswith("Look at the electrodes first")
    assert worked.cautions[0] == "do_not_start"
    assert "voltage" not in " ".join(worked.sentences)
    assert "voltage_change_percent" not in worked.numbers


def test_without_a_specification_nothing_is_judged() -> None:
    said = " ".join(gap(0.8, None).sentences)
    assert "manual" in said and "too " not in said and "as it should" not in said


@pytest.mark.parametrize(
    "wrong",
    [(-0.1, None), (0.8, (0.9, 0.7)), (0.8, (0.0, 0.7)), (0.8, (0.7, 8.0)), (11, None)],
)
def test_what_is_no_gap_is_refused(wrong: tuple[float, tuple[float, float] | None]) -> None:
    with pytest.raises(ValueError):
        gap(*wrong)


def test_one_figure_is_said_once() -> None:
    assert gap_words(0.6, 0.6) == "0.60 mm (0.024 in)"
