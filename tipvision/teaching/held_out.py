"""What models taught on a shop's plugs are worth on plugs that they had not seen."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.condition import CONDITIONS
from tipvision.condition.judge import Judgement
from tipvision.teaching.intervals import wilson

BINS = 15
TURNS = 2000
SEED = 2
SURE = 0.9
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Rate:
    """A share of plugs: a plug's photos share its weight. low, high: 95 % score interval over the
    n plugs."""

    name: str
    share: float
    low: float
    high: float
    n: int


@dataclass(frozen=True)
class Bin:
    """Photos whose likeliest condition got about the same probability: its mean, how often it was
    right with a 95 % interval, and how many photos they are."""

    sure: float
    right: float
    low: float
    high: float
    n: int


@dataclass(frozen=True)
class HeldOut:
    """rates: in the order to be told. size: mean of the labels in a set. error: expected
    calibration error over photos, `by_chance` what it would be if every probability were true.
    bins: those with photos. confusion: photos, by truth and likeliest condition, both in the order
    of `CONDITIONS`."""

    rates: tuple[Rate, ...]
    size: float
    error: float
    by_chance: float
    bins: tuple[Bin, ...]
    confusion: tuple[tuple[int, ...], ...]


def held_out_worth(
    truth: Sequence[str], plug: NDArray[np.int64], judgements: Sequence[Judgement]
) -> HeldOut:
    """Figures over photos of the plugs, each judged by a model that had not seen its plug."""
    label = np.array([CONDITIONS.index(name) for name in truth])
    chances = np.array([[one.probabilities[name] for name in CONDITIONS] for one in judgements])
    best, sure = chances.argmax(axis=1), chances.max(axis=1)
    right = best == label
    inside = np.array([t in one.possible for t, one in zip(truth, judgements, strict=True)])
    answered = np.array([len(one.possible) == 1 and not one.outside for one in judgements])
    return HeldOut(
        rates=(
            _rate("answered", answered, plug),
            _rate("right, of those answered", right[answered], plug[answered]),
            _rate("likeliest condition right", right, plug),
            _rate("sets that hold the truth", inside, plug),
            *(
                _rate(f"sets that hold the truth, {name}", inside[label == k], plug[label == k])
                for k, name in enumerate(CONDITIONS)
                if (label == k).any()
            ),
            _rate(
                f"answered wrongly at {SURE:.0%} and more", answered & ~right & (sure >= SURE), plug
            ),
        ),
        size=float(np.mean([len(one.possible) for one in judgements])),
        error=calibration_error(sure, right),
        by_chance=_error_by_chance(sure),
        bins=_bins(sure, right),
        confusion=tuple(
            tuple(int(((label == t) & (best == a)).sum()) for a in range(len(CONDITIONS)))
            for t in range(len(CONDITIONS))
        ),
    )


def _rate(name: str, hits: Flags, plug: NDArray[np.int64]) -> Rate:
    if len(plug) == 0:
        return Rate(name, float("nan"), 0.0, 1.0, 0)
    _, owner, photos = np.unique(plug, return_inverse=True, return_counts=True)
    shares = np.bincount(owner, weights=hits) / photos
    return Rate(name, float(shares.mean()), *wilson(float(shares.sum()), len(shares)), len(shares))


def calibration_error(sure: NDArray[np.float64], right: Flags) -> float:
    """Mean distance between how sure and how often right, over bins of equal width by their
    counts."""
    which = np.minimum((sure * BINS).astype(int), BINS - 1)
    gaps = np.bincount(which, weights=right - sure, minlength=BINS)
    return float(np.abs(gaps).sum() / len(sure))


def _error_by_chance(sure: NDArray[np.float64]) -> float:
    rng = np.random.default_rng(SEED)
    return float(
        np.mean([calibration_error(sure, rng.random(len(sure)) < sure) for _ in range(TURNS)])
    )


def _bins(sure: NDArray[np.float64], right: Flags) -> tuple[Bin, ...]:
    which = np.minimum((sure * BINS).astype(int), BINS - 1)
    found = []
    for k in np.unique(which):
        own = which == k
        hits, n = int(right[own].sum()), int(own.sum())
        found.append(Bin(float(sure[own].mean()), hits / n, *wilson(hits, n), n))
    return tuple(found)
