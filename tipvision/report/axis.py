"""The colour axis: where lightness, bands and the reading lie in its drawing.

All lengths are in units of the drawing's own viewBox, x to the right, y down.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.lab import lab_to_xyz
from tipvision.colour.srgb import RGB_TO_XYZ, encode
from tipvision.measure.bands import Band
from tipvision.report.words import CONDITIONS

WIDTH = 490.0
LEFT, RIGHT = 9.0, 481.0  # x of L* 0 and of L* 100
BAND_REACH = 2.0  # standard deviations of a band that its swatch spans to either side
READING_REACH = 1.96  # the same for the reading: 95 % of a normal distribution

_LANE_TOP, _LANE_HEIGHT, _SWATCH_HEIGHT, _NAME_HEIGHT = 2.0, 43.0, 24.0, 14.0
_MARK_HEIGHT = 28.0
_LETTER = 6.3  # widest a letter of a name is on average
_BOLD_LETTER = 6.6  # the same in the bold of a mark
_GAP = 10.0


@dataclass(frozen=True)
class Swatch:
    """One band in the drawing: its rectangle, fill (#rrggbb) and where its name stands.

    pattern: id of the pattern over the fill, without its ink. dark: whether the fill is.
    """

    name: str
    title: str
    pattern: str
    fill: str
    dark: bool
    x0: float
    x1: float
    y: float
    text_x: float
    text_y: float


@dataclass(frozen=True)
class Measured:
    """A colour to be marked: float64 (3,) of CIELAB (D65), its standard deviation, and its name."""

    name: str
    lab: NDArray[np.float64]
    sd: NDArray[np.float64]


@dataclass(frozen=True)
class Mark:
    """A reading in the drawing: its interval in x and in L*, its centre, its height and colour.

    text: its name with the interval; it begins at text_x, or ends there where `ends` is True.
    """

    name: str
    text: str
    text_x: float
    ends: bool
    x0: float
    x: float
    x1: float
    y: float
    fill: str
    low: float
    high: float


@dataclass(frozen=True)
class Axis:
    """The whole drawing: `base` is the y of the ramp, `height` that of the viewBox."""

    swatches: tuple[Swatch, ...]
    marks: tuple[Mark, ...]
    ticks: tuple[tuple[int, float], ...]
    ramp: tuple[tuple[float, str], ...]
    base: float
    height: float
    width: float = WIDTH
    left: float = LEFT
    right: float = RIGHT
    swatch_height: float = _SWATCH_HEIGHT


def position(lightness: float) -> float:
    """x of an L* value; values outside 0 to 100 lie on the ends."""
    return LEFT + (RIGHT - LEFT) * min(max(lightness, 0.0), 100.0) / 100.0


def span(mean: float, sd: float, reach: float) -> tuple[float, float]:
    """x of mean - reach·sd and mean + reach·sd in L*, within the axis."""
    return position(mean - reach * sd), position(mean + reach * sd)


def lanes(extents: Sequence[tuple[float, float]]) -> list[int]:
    """A lane for each extent (x0, x1) so that none touches another in its lane; as few as it takes.

    The lane of each extent, 0 the topmost, in the order given.
    """
    ends: list[float] = []
    chosen = [0] * len(extents)
    for index in sorted(range(len(extents)), key=lambda i: extents[i]):
        start, end = extents[index]
        free = (lane for lane, taken in enumerate(ends) if taken + _GAP <= start)
        lane = next(free, len(ends))
        ends[lane : lane + 1] = [end]
        chosen[index] = lane
    return chosen


def hex_colour(lab: NDArray[np.float64]) -> str:
    """#rrggbb in sRGB of a CIELAB colour (D65, 2° observer, shape (3,)), clipped to the gamut."""
    linear = np.linalg.solve(RGB_TO_XYZ, lab_to_xyz(lab))
    red, green, blue = np.rint(255.0 * np.clip(encode(linear), 0.0, 1.0)).astype(int)
    return f"#{red:02x}{green:02x}{blue:02x}"


def draw_axis(bands: Sequence[Band], measured: Sequence[Measured] = ()) -> Axis:
    """The axis with these bands and below them a mark for each colour, in the order given."""
    names = {band.name: CONDITIONS[band.name][0] for band in bands}
    spans, extents = [], []
    for band in bands:
        x0, x1 = span(band.mean[0], band.sd[0], BAND_REACH)
        text_x = min(x0, RIGHT - _LETTER * len(names[band.name]))
        spans.append((x0, x1, text_x))
        extents.append((min(x0, text_x), max(x1, text_x + _LETTER * len(names[band.name]))))
    chosen = lanes(extents)
    swatches = []
    for band, (x0, x1, text_x), lane in zip(bands, spans, chosen, strict=True):
        y = _LANE_TOP + lane * _LANE_HEIGHT + _NAME_HEIGHT
        swatches.append(
            Swatch(
                band.name,
                names[band.name],
                band.pattern.replace(" ", "-"),
                hex_colour(band.mean),
                bool(band.mean[0] < 50.0),
                x0,
                x1,
                y,
                text_x,
                y - 4.0,
            )
        )
    under_lanes = _LANE_TOP + _LANE_HEIGHT * (max(chosen, default=0) + 1)
    marks = tuple(
        _mark(one, under_lanes + 12.0 + _MARK_HEIGHT * row) for row, one in enumerate(measured)
    )
    base = under_lanes + 36.0 + _MARK_HEIGHT * max(len(marks) - 1, 0)
    return Axis(
        swatches=tuple(swatches),
        marks=marks,
        ticks=tuple((tick, position(tick)) for tick in range(0, 101, 20)),
        ramp=tuple(
            (tick / 100, hex_colour(np.array([tick, 0.0, 0.0]))) for tick in range(0, 101, 10)
        ),
        base=base,
        height=base + 26.0,
    )


def _mark(one: Measured, y: float) -> Mark:
    x0, x1 = span(one.lab[0], one.sd[0], READING_REACH)
    low, high = (
        float(np.clip(one.lab[0] + k * READING_REACH * one.sd[0], 0, 100)) for k in (-1, 1)
    )
    x = position(one.lab[0])
    after, before = max(x1, x + 14.0) + 8.0, min(x0, x - 14.0) - 8.0
    for text in (f"{one.name}: L* {low:.0f} to {high:.0f}", one.name):  # as much as there is room
        ends = after + _BOLD_LETTER * len(text) > WIDTH
        if not ends or before - _BOLD_LETTER * len(text) >= 0.0:
            break
    place = before if ends else after
    return Mark(one.name, text, place, ends, x0, x, x1, y, hex_colour(one.lab), low, high)
