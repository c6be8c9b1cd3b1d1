"""The bench card's layout: where everything stands on the card, in millimetres."""

import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import combinations
from typing import Any

QUIET_MODULES = 1  # white modules kept free around a marker, as the marker family asks
MARKER_MODULES = (
    8  # modules along one side of a marker of DICT_APRILTAG_36h11, black border included
)
TICK_HEIGHT_MM = 3.0  # the longest tick of the ruler
NUMBER_HEIGHT_MM = 4.0  # the strip below the ruler's line that its numbers stand in


class LayoutError(ValueError):
    """A layout that cannot be printed or found as it stands."""


@dataclass(frozen=True)
class Area:
    """An upright rectangle on the card, millimetres: x to the right, y down, origin top left."""

    x: float
    y: float
    width: float
    height: float

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Top left, top right, bottom right, bottom left, each (x, y)."""
        right, bottom = self.x + self.width, self.y + self.height
        return (self.x, self.y), (right, self.y), (right, bottom), (self.x, bottom)

    @property
    def centre(self) -> tuple[float, float]:
        return self.x + self.width / 2, self.y + self.height / 2

    def grown(self, by: float) -> "Area":
        """This area with `by` mm more on every side (less, when negative)."""
        return Area(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def inside(self, other: "Area") -> bool:
        return (
            self.x >= other.x
            and self.y >= other.y
            and self.x + self.width <= other.x + other.width
            and self.y + self.height <= other.y + other.height
        )

    def overlaps(self, other: "Area") -> bool:
        """True where the two share ground; areas that only touch do not overlap."""
        return (
            self.x < other.x + other.width
            and other.x < self.x + self.width
            and self.y < other.y + other.height
            and other.y < self.y + self.height
        )


@dataclass(frozen=True)
class Seat:
    """The hole that the firing end comes up through: centre (x, y) and its two cutting circles."""

    centre: tuple[float, float]
    cut_diameter: float
    wide_diameter: float

    @property
    def area(self) -> Area:
        radius = self.wide_diameter / 2
        x, y = self.centre
        return Area(x - radius, y - radius, 2 * radius, 2 * radius)


@dataclass(frozen=True)
class Marker:
    """One square marker: its id in the dictionary and its place without the quiet zone."""

    id: int
    area: Area

    @property
    def module(self) -> float:
        """Side of one module, mm."""
        return self.area.width / MARKER_MODULES

    @property
    def quiet_zone(self) -> Area:
        return self.area.grown(QUIET_MODULES * self.module)


@dataclass(frozen=True)
class Window:
    """One cut-out, with the neutral card behind it."""

    name: str
    area: Area


@dataclass(frozen=True)
class Ruler:
    """The ruler that shows whether the print came out at true size; `start` is its zero mark."""

    start: tuple[float, float]
    length: float

    @property
    def area(self) -> Area:
        """Ticks above the line and numbers below it."""
        x, y = self.start
        return Area(x, y - TICK_HEIGHT_MM, self.length, TICK_HEIGHT_MM + NUMBER_HEIGHT_MM)


@dataclass(frozen=True)
class Layout:
    """The whole card, millimetres.

    dictionary:  name of the marker dictionary in `cv2.aruco`.
    reflectance: 0 to 1, of the neutral card behind the windows, the same at every wavelength.
    """

    version: int
    width: float
    height: float
    seat: Seat
    dictionary: str
    markers: tuple[Marker, ...]
    windows: tuple[Window, ...]
    reflectance: float
    ruler: Ruler

    @property
    def card(self) -> Area:
        return Area(0.0, 0.0, self.width, self.height)


@cache
def load_layout() -> Layout:
    """The layout that this version prints and finds.

    Raises LayoutError when `layout.toml` has been changed into something that does not fit.
    """
    text = resources.files("tipvision.bench_card").joinpath("layout.toml").read_text("utf-8")
    return layout_from(tomllib.loads(text))


def layout_from(data: Mapping[str, Any]) -> Layout:
    """The layout in the parsed `layout.toml`, checked.

    Raises LayoutError when a part stands outside the card or on another part, when ids repeat, or
    when a size or the reflectance makes no sense; KeyError when an entry is missing.
    """
    seat, markers, windows, ruler = data["seat"], data["markers"], data["windows"], data["ruler"]
    side = float(markers["size"])
    wide, high = (float(length) for length in windows["size"])
    layout = Layout(
        version=int(data["version"]),
        width=float(data["width"]),
        height=float(data["height"]),
        seat=Seat(
            _point(seat["centre"]), float(seat["cut_diameter"]), float(seat["wide_diameter"])
        ),
        dictionary=str(markers["dictionary"]),
        markers=tuple(
            Marker(int(place["id"]), Area(*_point(place["at"]), side, side))
            for place in markers["place"]
        ),
        windows=tuple(
            Window(str(place["name"]), Area(*_point(place["at"]), wide, high))
            for place in windows["place"]
        ),
        reflectance=float(windows["reflectance"]),
        ruler=Ruler(_point(ruler["start"]), float(ruler["length"])),
    )
    _check(layout)
    return layout


def _point(pair: Iterable[float]) -> tuple[float, float]:
    x, y = pair
    return float(x), float(y)


def _check(layout: Layout) -> None:
    sizes = [layout.width, layout.height, layout.seat.cut_diameter, layout.ruler.length]
    sizes += [marker.area.width for marker in layout.markers]
    sizes += [side for window in layout.windows for side in (window.area.width, window.area.height)]
    if not all(math.isfinite(size) and size > 0 for size in sizes):
        raise LayoutError("layout.toml: every size must be more than 0 mm. Correct it.")
    if layout.seat.wide_diameter < layout.seat.cut_diameter:
        raise LayoutError("layout.toml: the wide seat is narrower than the seat. Correct it.")
    if not 0 < layout.reflectance < 1:
        raise LayoutError(
            f"layout.toml: a reflectance of {layout.reflectance} does not exist. "
            "Give one between 0 and 1."
        )
    if len({marker.id for marker in layout.markers}) < len(layout.markers):
        raise LayoutError("layout.toml: two markers have the same id. Give each its own.")
    parts = [(f"marker {marker.id}", marker.quiet_zone) for marker in layout.markers]
    parts += [(f"window {window.name}", window.area) for window in layout.windows]
    parts += [("the seat", layout.seat.area), ("the ruler", layout.ruler.area)]
    for name, area in parts:
        if not area.inside(layout.card):
            raise LayoutError(f"layout.toml: {name} stands outside the card. Move it in.")
    for (name, area), (other, ground) in combinations(parts, 2):
        if area.overlaps(ground):
            raise LayoutError(f"layout.toml: {name} stands on {other}. Move one of them.")
