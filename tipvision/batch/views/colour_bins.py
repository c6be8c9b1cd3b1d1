"""The colours of many noses, gathered so that thousands can be drawn: a mark a bin, not a nose."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from tipvision.batch.views.rows import Row
from tipvision.batch.views.tally import group_of

OPEN = "unclear"


@dataclass(frozen=True)
class Scale:
    """One axis of the drawing. at: 0 to 2, which of L*, a*, b* it is. low, high: its ends.
    bin: width of a bin. ticks: where it is numbered. All in units of CIELAB."""

    at: int
    name: str
    low: float
    high: float
    bin: float
    ticks: tuple[int, ...]


LIGHTNESS = Scale(0, "lightness L*", 0.0, 100.0, 4.0, (0, 20, 40, 60, 80, 100))
RED = Scale(1, "a*: from greenish to reddish", -15.0, 25.0, 1.6, (-10, 0, 10, 20))
YELLOW = Scale(2, "b*: from bluish to yellowish", -15.0, 45.0, 2.4, (-10, 0, 10, 20, 30, 40))
PLANES = ((YELLOW, LIGHTNESS), (RED, YELLOW))
"""What is drawn to the right and upwards: how light the noses are, and what tint they have."""


@dataclass(frozen=True)
class Bin:
    """Noses that lie together: the group that most of those with a settled answer are in (`OPEN`
    where none has one), how many they are in all, and their mean L*, a*, b*."""

    group: str
    count: int
    lab: tuple[float, float, float]


class ColourBins:
    """The noses seen so far, by plane and bin.

    measured: how many. outside: how many of them lie off the ends of a plane.
    """

    def __init__(self) -> None:
        self.measured = 0
        self.outside = 0
        self._sums: tuple[dict[tuple[int, int], list[float]], ...] = tuple({} for _ in PLANES)
        self._groups: dict[tuple[int, int, int], Counter[str]] = {}

    def add(self, row: Row) -> None:
        """Take up a row that has a colour; others count for nothing."""
        if row.lab_l is None or row.lab_a is None or row.lab_b is None:
            return
        lab = (row.lab_l, row.lab_a, row.lab_b)
        self.measured += 1
        self.outside += not all(
            scale.low <= lab[scale.at] <= scale.high for scale in (LIGHTNESS, RED, YELLOW)
        )
        for number, (plane, sums) in enumerate(zip(PLANES, self._sums, strict=True)):
            across, up = (_bin(lab[scale.at], scale) for scale in plane)
            total = sums.setdefault((across, up), [0.0, 0.0, 0.0, 0.0])
            for i, value in enumerate((1.0, *lab)):
                total[i] += value
            if row.state == "read":
                groups = self._groups.setdefault((number, across, up), Counter())
                groups[group_of(row)] += 1

    def bins(self, plane: int) -> Iterator[Bin]:
        """The bins of one of `PLANES`, the fullest first, so that none hides a smaller one."""
        ordered = sorted(self._sums[plane].items(), key=lambda pair: (-pair[1][0], pair[0]))
        for place, (count, lightness, red, yellow) in ordered:
            settled = self._groups.get((plane, *place))
            group = settled.most_common(1)[0][0] if settled else OPEN
            yield Bin(group, int(count), (lightness / count, red / count, yellow / count))


def _bin(value: float, scale: Scale) -> int:
    """Number of the bin; what lies beyond an end of the axis is in the last one there."""
    return int((min(max(value, scale.low), scale.high) - scale.low) // scale.bin)
