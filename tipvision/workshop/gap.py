"""The electrode gap against its specification, and what a deviation does."""

import math

from tipvision.workshop.figures import figures
from tipvision.workshop.units import mm_to_inch
from tipvision.workshop.worked import Worked, once

ROUNDING_MM = 0.005  # a wire gauge tells no less; our estimate
EQUAL_MM = 1e-9  # what is left of two equal lengths in different units

_PRACTICE = "common practice, no published source"
_TOO_WIDE = (
    "A wide gap misfires and loses power, fouls the plug, and strains the coil and its insulation."
)
_TOO_NARROW = (
    "A narrow gap gives a weak flame kernel and an incomplete burn, and in the extreme pre-ignition"
    " or damage."
)

_LOOK_FIRST = "Do not start or crank the engine until the cylinder has been looked into."
_GRAVE = ("do_not_start", "manual_first")


def breakdown_kv(gap_mm: float, density: float) -> float:
    """Voltage at which air breaks down between blunt electrodes, kV.

    density: of the air over that of free air (101.325 kPa, 20 °C). Real plugs need less where an
    edge is sharp or hot. Source: from memory, unchecked (`figures.toml`).
    """
    known, x = figures(), density * gap_mm / 10.0
    linear, root = known["breakdown_linear_kv"].low, known["breakdown_root_kv"].low
    return linear * x + root * math.sqrt(x)


def gap(measured_mm: float, specified_mm: tuple[float, float] | None) -> Worked:
    """A measured gap held against the specification (low, high); all in mm.

    At most the low end of `gap_possible_mm` is as good as closed, and more than its high end is no
    gap between sound electrodes, whatever is specified.

    Raises ValueError for a gap that is not within 0 to 10 mm, or a specification that is upside
    down or not within `gap_possible_mm`.
    """
    possible = figures()["gap_possible_mm"]
    if not 0.0 <= measured_mm < 10.0:
        raise ValueError(f"A gap of {measured_mm:g} mm is no gap of a plug.")
    if specified_mm is not None and not (
        possible.low <= specified_mm[0] <= specified_mm[1] <= possible.high
    ):
        least, most = specified_mm
        raise ValueError(
            f"A gap of {least:g} to {most:g} mm is no specification: plugs are set within"
            f" {possible.low:g} to {possible.high:g} mm."
        )
    if measured_mm <= possible.low:
        return _closed_up(measured_mm, possible.source)
    if measured_mm > possible.high:
        return _no_gap(measured_mm, possible.source)
    if specified_mm is None:
        return _without_specification(measured_mm)
    low, high = specified_mm
    is_in = f"The gap is {_both(measured_mm)}; {gap_words(low, high)} is specified."
    off = max(measured_mm - high, 0.0) - max(low - measured_mm, 0.0)
    numbers: dict[str, float | None] = {
        "gap_mm": measured_mm,
        "specified_low_mm": low,
        "specified_high_mm": high,
        "off_mm": off,
    }
    if abs(off) < ROUNDING_MM:
        side = "wide" if off > 0.0 else "narrow"
        said = (
            "It is as it should be."
            if abs(off) <= EQUAL_MM
            else f"It is too {side} by less than a wire gauge tells: measure it again."
        )
        return Worked((is_in, said), numbers, ("manual_first",), (_PRACTICE,))
    wide = measured_mm > high
    nearest = high if wide else low
    dense = figures()["density_at_spark"]
    change = breakdown_kv(measured_mm, dense.low) / breakdown_kv(nearest, dense.low) - 1.0
    numbers["voltage_change_percent"] = 100.0 * change
    apart = f"It is {_both(abs(measured_mm - nearest))} too {'wide' if wide else 'narrow'}."
    sparks = (
        f"The spark needs about {abs(100.0 * change):.0f} % {'more' if wide else 'less'} voltage"
        f" than at {_both(nearest)}."
    )
    mend = (
        "Set it by bending the strap alone, never by levering on the centre electrode; a plug worn"
        " wide is replaced."
        if wide
        else "Set it by bending the strap alone, never by levering on the centre electrode."
    )
    return Worked(
        (is_in, apart, _TOO_WIDE if wide else _TOO_NARROW, sparks, mend),
        numbers,
        ("fine_wire", "manual_first"),
        once(
            _PRACTICE,
            figures()["breakdown_linear_kv"].source,
            dense.source,
        ),
    )


def _closed_up(measured_mm: float, source: str) -> Worked:
    closed = measured_mm <= ROUNDING_MM
    is_so = "closed up" if closed else f"{_both(measured_mm)}, as good as closed up"
    said = (
        f"The gap is {is_so}: something has hit the strap, or a deposit fills it.",
        _LOOK_FIRST,
        "Do not open it and carry on: replace the plug, and find what closed it.",
    )
    sources = once(_PRACTICE, *(() if closed else (source,)))
    return Worked(said, {"gap_mm": measured_mm}, _GRAVE, sources)


def _no_gap(measured_mm: float, source: str) -> Worked:
    said = (
        f"A gap of {_both(measured_mm)} is wider than a plug is ever set: it was measured wrongly,"
        " or the strap is bent away, burnt off or missing.",
        "Look at the electrodes first. If a part of one is melted or missing:"
        f" {_LOOK_FIRST[0].lower()}{_LOOK_FIRST[1:]}",
    )
    return Worked(said, {"gap_mm": measured_mm}, _GRAVE, once(_PRACTICE, source))


def _without_specification(measured_mm: float) -> Worked:
    usual, ever = figures()["gap_powersports_mm"], figures()["gap_practice_mm"]
    return Worked(
        (
            f"The gap is {_both(measured_mm)}; without the engine's specification nothing says"
            " whether that is right.",
            f"Bikes, quads and small engines mostly ask for {gap_words(usual.low, usual.high)}; in"
            f" practice {gap_words(ever.low, ever.high)} is met.",
            "Look the figure up in the engine's manual.",
        ),
        {
            "gap_mm": measured_mm,
            "powersports_low_mm": usual.low,
            "powersports_high_mm": usual.high,
            "practice_low_mm": ever.low,
            "practice_high_mm": ever.high,
        },
        ("manual_first",),
        (usual.source,),
    )


def _both(mm: float) -> str:
    return f"{mm:.2f} mm ({mm_to_inch(mm):.3f} in)"


def gap_words(low: float, high: float) -> str:
    """A specified gap in both units: "0.70 to 0.80 mm (0.028 to 0.031 in)"."""
    if high - low < ROUNDING_MM:
        return _both(low)
    return f"{low:.2f} to {high:.2f} mm ({mm_to_inch(low):.3f} to {mm_to_inch(high):.3f} in)"
