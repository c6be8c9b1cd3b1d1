"""Which plug of a set stands apart from the others, by colour and by condition."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.comparison.doubt import Colour, colours_of, contrast
from tipvision.record.reading import Reading

FALSE_ALARM = 0.05  # how often a set of plugs that are alike may be called uneven
OPEN = frozenset({"undecided", "dry_or_wet"})  # reasons that leave labels open, no more
FEWEST_TO_NAME_ONE = 3  # of two that differ, nothing says which is the odd one

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Apart:
    """One plug against the mean of the others.

    plug:       its place in the set, from 0.
    difference: float64 (3,), its colour minus theirs, in the coordinates of `doubt.logarithms`.
    sd:         float64 (3,), standard deviation of that.
    p:          how probable so great a difference is among plugs that are alike, for one plug.
    """

    plug: int
    difference: Array
    sd: Array
    p: float

    @property
    def light_ratio(self) -> tuple[float, float, float]:
        """How much light the nose gives back over what the others do, and its 95 % interval."""
        low, middle, high = (float(self.difference[0] + k * 1.96 * self.sd[0]) for k in (-1, 0, 1))
        return math.exp(middle), math.exp(low), math.exp(high)


@dataclass(frozen=True)
class Comparison:
    """What a set of readings says together.

    by_colour:    plugs whose colour stands apart, most certain first.
    by_condition: plugs whose settled condition is not the one that most of the plugs allow.
    uneven:       whether plugs differ by more than chance with none apart from a majority: two
                  plugs alone, or half of them against the other half.
    measured:     how many plugs could be compared by colour.
    label:        the condition that every plug has, where all are settled and alike.
    """

    by_colour: tuple[Apart, ...]
    by_condition: tuple[int, ...]
    uneven: bool
    measured: int
    label: str | None

    @property
    def odd(self) -> tuple[int, ...]:
        """Every plug that stands apart, by whichever sign."""
        return tuple(sorted({a.plug for a in self.by_colour} | set(self.by_condition)))


def compare(readings: Sequence[Reading]) -> Comparison:
    """Hold the plugs of one engine against each other.

    By colour as `apart_by_colour` does, by condition where it is settled.
    """
    colours = colours_of(readings)
    known = {i: colour for i, colour in enumerate(colours) if colour is not None}
    apart = apart_by_colour(known)
    has_majority = 2 * len(apart) < len(known)
    uneven = not has_majority and len(known) > 0
    if len(known) == 2:
        uneven = against_others(known, min(known)).p < FALSE_ALARM
    labels = [r.condition.label if r.outcome == "read" and r.condition else None for r in readings]
    return Comparison(
        by_colour=apart if has_majority else (),
        by_condition=_odd_labels(labels, [_allowed(r) for r in readings]),
        uneven=uneven,
        measured=len(known),
        label=_common(labels),
    )


def apart_by_colour(colours: Mapping[int, Colour]) -> tuple[Apart, ...]:
    """Plugs whose colour stands apart, most certain first; `colours` by place in the set.

    Each plug is held against the mean of the others, with the covariance of that difference
    (`chance_of`). The greatest is named when its p, times the number of plugs
    looked at (Bonferroni), is under `FALSE_ALARM`; then the rest are looked at again without it, as
    long as three are left. Source of the method: our own, on textbook statistics.
    """
    apart: list[Apart] = []
    left = dict(colours)
    while len(left) >= FEWEST_TO_NAME_ONE:
        furthest = min((against_others(left, plug) for plug in left), key=lambda a: a.p)
        if furthest.p * len(left) >= FALSE_ALARM:
            break
        apart.append(furthest)
        del left[furthest.plug]
    return tuple(apart)


def against_others(colours: Mapping[int, Colour], plug: int) -> Apart:
    """One plug of a set against the mean of the others."""
    others = len(colours) - 1
    weights = np.array([1.0 if i == plug else -1.0 / others for i in colours])
    difference, covariance = contrast(list(colours.values()), weights)
    chance = chance_of(difference, covariance)
    return Apart(plug, difference, np.sqrt(np.diag(covariance)), chance)


def chance_of(difference: Array, covariance: Array) -> float:
    """How probable so great a difference is by chance, 0 to 1.

    The lesser of two, doubled (Bonferroni): that of the level alone, a normal number, and that of
    the tint's two coordinates, χ² with two degrees of freedom. Level and tint are asked apart
    because most that happens to a plug is in one of them.
    """
    level = float(difference[0]) / math.sqrt(float(covariance[0, 0]))
    tint = difference[1:]
    square = float(tint @ np.linalg.solve(covariance[1:, 1:], tint))
    return min(1.0, 2.0 * min(math.erfc(abs(level) / math.sqrt(2.0)), math.exp(-square / 2.0)))


def _common(labels: Sequence[str | None]) -> str | None:
    return labels[0] if labels and len(set(labels)) == 1 else None


def _allowed(reading: Reading) -> frozenset[str]:
    """The labels that a photo leaves open; none where more than its own doubt spoke against it."""
    if reading.condition is None or {r.code for r in reading.reasons} - OPEN:
        return frozenset()
    return frozenset(reading.condition.possible)


def _odd_labels(labels: Sequence[str | None], allowed: Sequence[frozenset[str]]) -> tuple[int, ...]:
    """Plugs whose settled label is not the one that most plugs allow, of those that tell."""
    telling = [possible for possible in allowed if possible]
    counts = Counter(label for possible in telling for label in possible).most_common(2)
    if len(telling) < FEWEST_TO_NAME_ONE or 2 * counts[0][1] <= len(telling):
        return ()
    if len(counts) > 1 and counts[0][1] == counts[1][1]:
        return ()
    usual = counts[0][0]
    return tuple(i for i, own in enumerate(labels) if own is not None and own != usual)
