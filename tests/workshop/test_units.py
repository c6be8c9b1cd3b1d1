import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.workshop.units import (
    ALTITUDES,
    LENGTHS,
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
    has_unit,
    mm_to_inch,
    nm_to_lbf_ft,
    parse_celsius,
    parse_quantity,
    parse_span,
)


def test_units_are_exact() -> None:
    """By definition: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, g = 9.80665 m/s²."""
    assert mm_to_inch(25.4) == 1.0
    assert ALTITUDES["ft"] == 0.3048
    assert nm_to_lbf_ft(1.3558179483314004) == pytest.approx(1.0, abs=1e-15)
    assert celsius_to_fahrenheit(0.0) == 32.0 and celsius_to_fahrenheit(100.0) == 212.0
    assert celsius_to_fahrenheit(-40.0) == -40.0
    assert [celsius_to_fahrenheit(c) for c in (500.0, 800.0)] == [932.0, 1472.0]


@given(st.floats(-100.0, 2000.0))
def test_celsius_there_and_back(celsius: float) -> None:
    there = celsius_to_fahrenheit(celsius)
    assert fahrenheit_to_celsius(there) == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("0.9", 0.9),
        ("0,9", 0.9),
        ("0.9mm", 0.9),
        (" .9 mm ", 0.9),
        ("0.035in", 0.889),
        ("0,035in", 0.889),
        ("1,25", 1.25),
        ("1 in", 25.4),
    ],
)
def test_lengths_as_people_type_them(text: str, mm: float) -> None:
    assert parse_quantity(text, LENGTHS) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "ways"),
    [("1,200", "1200 or 1.200"), ("1,200ft", "1200 or 1.200"), ("12,500 m", "12500 or 12.500")],
)
def test_a_comma_that_may_part_thousands_is_asked_about(text: str, ways: str) -> None:
    with pytest.raises(ValueError, match=f"two ways: write {ways}"):
        parse_quantity(text, ALTITUDES)


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("0.75", (0.75, 0.75)),
        ("0.7-0.8", (0.7, 0.8)),
        ("0,7-0,8", (0.7, 0.8)),
        ("0.8-0.7", (0.7, 0.8)),
        ("0.7mm-0.8mm", (0.7, 0.8)),
        ("1-2in", (25.4, 50.8)),
        ("1in-26mm", (25.4, 26.0)),
    ],
)
def test_spans_as_people_type_them(text: str, span: tuple[float, float]) -> None:
    assert parse_span(text, LENGTHS) == pytest.approx(span)


@pytest.mark.parametrize(
    ("text", "said"), [("0.035", False), ("0.7-0.8", False), ("0.035in", True), ("1mm-2", True)]
)
def test_whether_a_unit_was_typed(text: str, said: bool) -> None:
    assert has_unit(text) == said


@pytest.mark.parametrize(
    ("text", "c"), [("620", 620), ("620C", 620), ("212 °F", 100), ("-4f", -20)]
)
def test_temperatures_as_people_type_them(text: str, c: float) -> None:
    assert parse_celsius(text) == pytest.approx(c)


@pytest.mark.parametrize("text", ["", "wide", "0.9cm", "1e999", "nan", "0,9,1", "--1", "1-2-3"])
def test_what_is_no_quantity_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no number"):
        parse_span(text, LENGTHS)
    with pytest.raises(ValueError, match="no temperature"):
        parse_celsius(text)
