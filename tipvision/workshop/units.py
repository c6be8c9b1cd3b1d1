"""Units of the bench, converted exactly, and quantities as people type them."""

import math
import re
from collections.abc import Mapping

# By definition: the international inch and foot, the avoirdupois pound, the standard gravity.
MM_PER_INCH = 25.4
M_PER_FOOT = 0.3048
NM_PER_LBF_FT = M_PER_FOOT * 0.45359237 * 9.80665
KELVIN_AT_0_C = 273.15

LENGTHS = {"mm": 1.0, "in": MM_PER_INCH}  # in mm
ALTITUDES = {"m": 1.0, "ft": M_PER_FOOT}  # in m

_QUANTITY = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+))\s*°?\s*([A-Za-z]*)")
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}(?!\d)")  # "1,200": thousands here, decimals there


def mm_to_inch(mm: float) -> float:
    return mm / MM_PER_INCH


def celsius_to_fahrenheit(celsius: float) -> float:
    return celsius * 9.0 / 5.0 + 32.0


def fahrenheit_to_celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) * 5.0 / 9.0


def nm_to_lbf_ft(newton_metres: float) -> float:
    return newton_metres / NM_PER_LBF_FT


def parse_quantity(text: str, units: Mapping[str, float]) -> float:
    """A number with or without a unit ("0.9", "0,9", "0.035in", "6500 ft") in the first of `units`.

    Raises ValueError, with the right form, for anything else.
    """
    value, unit = _parts(text)
    first = next(iter(units))
    if value is None or (unit or first) not in units:
        raise ValueError(f"'{text}' is no number with one of {', '.join(units)}, such as 5{first}")
    return value * units[unit or first]


def parse_span(text: str, units: Mapping[str, float]) -> tuple[float, float]:
    """One quantity or two ("0.75", "0.7-0.8", "0.028-0.031in"), the smaller first.

    Raises ValueError, with the right form, for anything else.
    """
    start, dash, end = text.partition("-")
    if not dash:
        value = parse_quantity(text, units)
        return value, value
    _, unit = _parts(end)
    if _parts(start)[1] is None:
        start += unit or ""  # a unit after the second number counts for both
    low, high = sorted((parse_quantity(start, units), parse_quantity(end, units)))
    return low, high


def has_unit(text: str) -> bool:
    """Whether a quantity or a span, as it was typed, says a unit."""
    return any(map(str.isalpha, text))


def parse_celsius(text: str) -> float:
    """A temperature in °C: "620", "620C" or "1150F"; ValueError, with the right form, otherwise."""
    value, unit = _parts(text)
    if value is None or (unit or "C").upper() not in ("C", "F"):
        raise ValueError(f"'{text}' is no temperature, such as 620C or 1150F")
    return fahrenheit_to_celsius(value) if unit and unit.upper() == "F" else value


def _parts(text: str) -> tuple[float | None, str | None]:
    """The number and the unit of one quantity; None for what is not there.

    Raises ValueError for a comma that may stand for decimals or for thousands.
    """
    text = text.strip()
    match = _QUANTITY.fullmatch(text)
    if match is None:
        return None, None
    if _TWO_WAYS.match(text):
        whole, part = match[1].split(",")
        raise ValueError(f"'{text}' can be read in two ways: write {whole}{part} or {whole}.{part}")
    value = float(match[1].replace(",", "."))
    return (value if math.isfinite(value) else None), match[2] or None
