"""Kinds of plug: threads with their proportions, and the families a look may draw from.

Threads, pitches and hexagons: common practice, no published source. Proportions: our estimate,
taken from the M14 plug and scaled to the room that the other threads leave.
"""

from collections.abc import Collection
from typing import Literal, NamedTuple

Seat = Literal["gasket", "taper"]
Nose = Literal["projected", "flush", "recessed"]
Centre = Literal["nickel", "fine_wire"]
Strap = Literal["j", "short", "double", "triple", "surface"]
Range = tuple[float, float]


class ThreadForm(NamedTuple):
    """A thread and what fits into it; lengths in mm, ranges from least to most.

    `nose_widens` is by how much the nose's base is wider than its tip. The first two hexagons are
    the common ones.
    """

    pitch: float
    hexagons: tuple[float, ...]
    reaches: tuple[float, ...]
    rim_radius: Range
    bore_radius: Range
    nose_tip: Range
    nose_widens: Range
    nose_edge: Range
    electrode: Range
    strap_width: Range
    strap_thickness: Range
    strap_past: Range


THREADS: dict[float, ThreadForm] = {
    8.0: ThreadForm(
        1.0,
        (13.0,),
        (12.7, 19.0),
        (3.42, 3.55),
        (2.62, 2.75),
        (3.2, 3.5),
        (0.6, 0.95),
        (0.15, 0.3),
        (2.0, 2.08),
        (1.5, 1.75),
        (0.75, 0.88),
        (0.2, 0.6),
    ),
    10.0: ThreadForm(
        1.0,
        (16.0, 14.0),
        (12.7, 19.0, 26.5),
        (4.4, 4.55),
        (3.4, 3.55),
        (3.7, 4.2),
        (0.9, 1.4),
        (0.2, 0.4),
        (2.0, 2.25),
        (1.9, 2.15),
        (0.95, 1.1),
        (0.2, 0.8),
    ),
    12.0: ThreadForm(
        1.25,
        (16.0, 18.0, 14.0),
        (12.7, 19.0, 26.5),
        (5.3, 5.45),
        (4.05, 4.25),
        (4.1, 4.8),
        (1.3, 1.8),
        (0.22, 0.5),
        (2.1, 2.45),
        (2.15, 2.4),
        (1.1, 1.25),
        (0.25, 0.9),
    ),
    14.0: ThreadForm(
        1.25,
        (16.0, 20.8, 18.0, 19.0, 21.0),
        (9.5, 12.7, 19.0, 26.5),
        (6.3, 6.5),
        (4.8, 5.1),
        (4.6, 5.6),
        (1.6, 2.3),
        (0.25, 0.55),
        (2.35, 2.65),
        (2.5, 2.75),
        (1.25, 1.4),
        (0.3, 1.1),
    ),
    18.0: ThreadForm(
        1.5,
        (20.8, 25.4),
        (12.7, 19.0),
        (8.15, 8.4),
        (6.35, 6.7),
        (5.4, 6.2),
        (2.0, 2.8),
        (0.3, 0.6),
        (2.45, 2.7),
        (2.9, 3.2),
        (1.45, 1.65),
        (0.4, 1.2),
    ),
}
"""By nominal diameter in mm. The nose of M8 to M12 stays below the 4.5 mm of common plugs."""


class Family(NamedTuple):
    """One kind of firing end."""

    thread: float
    seat: Seat
    nose: Nose
    centre: Centre
    strap: Strap

    @property
    def name(self) -> str:
        """Its key in `FAMILIES`, like `m14-gasket-projected-nickel-j`."""
        centre = self.centre.replace("_", "-")
        return f"m{self.thread:g}-{self.seat}-{self.nose}-{centre}-{self.strap}"


_KINDS = (
    Family(8.0, "gasket", "flush", "nickel", "j"),
    Family(8.0, "gasket", "projected", "fine_wire", "j"),
    Family(8.0, "gasket", "projected", "nickel", "short"),
    Family(10.0, "gasket", "projected", "nickel", "j"),
    Family(10.0, "gasket", "projected", "fine_wire", "j"),
    Family(10.0, "gasket", "flush", "nickel", "short"),
    Family(10.0, "gasket", "recessed", "nickel", "j"),
    Family(10.0, "gasket", "recessed", "fine_wire", "j"),
    Family(10.0, "gasket", "flush", "nickel", "surface"),
    Family(10.0, "gasket", "projected", "nickel", "double"),
    Family(12.0, "gasket", "projected", "nickel", "j"),
    Family(12.0, "gasket", "projected", "fine_wire", "j"),
    Family(12.0, "gasket", "flush", "nickel", "j"),
    Family(12.0, "gasket", "projected", "nickel", "double"),
    Family(12.0, "gasket", "projected", "nickel", "triple"),
    Family(12.0, "gasket", "flush", "nickel", "surface"),
    Family(14.0, "gasket", "projected", "nickel", "j"),
    Family(14.0, "gasket", "projected", "nickel", "short"),
    Family(14.0, "gasket", "projected", "fine_wire", "j"),
    Family(14.0, "gasket", "flush", "nickel", "j"),
    Family(14.0, "gasket", "flush", "fine_wire", "short"),
    Family(14.0, "gasket", "recessed", "nickel", "j"),
    Family(14.0, "gasket", "recessed", "nickel", "short"),
    Family(14.0, "gasket", "recessed", "fine_wire", "short"),
    Family(14.0, "gasket", "projected", "nickel", "double"),
    Family(14.0, "gasket", "projected", "nickel", "triple"),
    Family(14.0, "gasket", "flush", "nickel", "surface"),
    Family(14.0, "taper", "projected", "nickel", "j"),
    Family(14.0, "taper", "flush", "nickel", "j"),
    Family(14.0, "taper", "projected", "fine_wire", "j"),
    Family(18.0, "gasket", "projected", "nickel", "j"),
    Family(18.0, "gasket", "flush", "nickel", "j"),
    Family(18.0, "taper", "projected", "nickel", "j"),
)

FAMILIES: dict[str, Family] = {kind.name: kind for kind in _KINDS}


def _kept_back(kind: Family) -> bool:
    return (
        kind.thread == 18.0
        or kind.seat == "taper"
        or kind.strap == "triple"
        or (kind.strap == "surface" and kind.thread == 14.0)
        or (kind.nose == "recessed" and kind.centre == "fine_wire")
    )


HELD_OUT: tuple[str, ...] = tuple(name for name, kind in FAMILIES.items() if _kept_back(kind))
"""Families for one look alone: M18, taper seats, triple straps, recessed fine wire, and the surface
gap of the M14; by those of the M10 and the M12 the other looks know that kind."""

OPEN: tuple[str, ...] = tuple(name for name in FAMILIES if name not in HELD_OUT)
"""All other families."""


def chosen(names: Collection[str], thread: float | None = None) -> tuple[Family, ...]:
    """The families of these names, of one thread if it is given, in the order of `FAMILIES`.

    Raises ValueError for an unknown name and when none is left.
    """
    unknown = sorted(set(names) - set(FAMILIES))
    if unknown:
        raise ValueError(f"no family called {unknown[0]!r}; known: {', '.join(FAMILIES)}")
    left = tuple(
        kind
        for name, kind in FAMILIES.items()
        if name in names and (thread is None or kind.thread == thread)
    )
    if not left:
        of = "" if thread is None else f" of thread M{thread:g}"
        raise ValueError(f"no family{of} among those allowed: {', '.join(sorted(names)) or 'none'}")
    return left
