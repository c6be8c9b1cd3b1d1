"""Whether a new model has earned the place of the one in use, plug against plug."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.condition import CONDITIONS
from tipvision.teaching.checks import TO_PROMOTE

OVERALL = 0.02  # how much worse overall a model may be at the low end of the interval
ANY = 0.15  # the same of any one condition; with 20 plugs of it one lost plug passes, two do not
# (our estimate)
TURNS = 2000
SEED = 1
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Difference:
    """New less old, and its 95 % bootstrap interval over plugs; n plugs."""

    new: float
    old: float
    low: float
    high: float
    n: int

    @property
    def found(self) -> float:
        return self.new - self.old


@dataclass(frozen=True)
class Comparison:
    """Of two models on the same held-out plugs.

    overall: of the macro-F1. conditions: of the share of each condition's plugs that are told
    right, by its name; a plug's photos share its weight. missing: plugs of each condition that are
    missing before any model may be promoted.
    """

    overall: Difference
    conditions: dict[str, Difference]
    missing: dict[str, int]

    @property
    def faults(self) -> tuple[str, ...]:
        """What keeps the new model from being promoted, a line each; none where it may be."""
        if any(self.missing.values()):  # then no figure can settle it
            counts = ", ".join(f"{name} {count}" for name, count in self.missing.items() if count)
            return (f"plugs are missing, {TO_PROMOTE} of each condition are needed: {counts}.",)
        lines = []
        if self.overall.found < 0 or self.overall.low < -OVERALL:
            lines.append(
                f"overall it is not shown to be as good: {told(self.overall)}; the low end may not "
                f"be under {-100 * OVERALL:+.0f} points, nor the difference under 0."
            )
        for name, one in self.conditions.items():
            if one.low < -ANY:
                lines.append(
                    f"{name}: it may be worse: {told(one)}; the low end may not be under "
                    f"{-100 * ANY:+.0f} points."
                )
        return tuple(lines)

    @property
    def earned(self) -> bool:
        return not self.faults


def told(one: Difference) -> str:
    """In words, with n and interval."""
    return (
        f"{100 * one.new:.1f} against {100 * one.old:.1f}, {100 * one.found:+.1f} points "
        f"(95 % interval {100 * one.low:+.1f} to {100 * one.high:+.1f}, {one.n} plugs)"
    )


def compared(
    plug: NDArray[np.int64],
    truth: Sequence[str],
    new: Sequence[str],
    old: Sequence[str],
) -> Comparison:
    """Two models' answers to the same photos, none of whose plugs the new model had seen.

    plug: int64 (r,), which plug each photo shows. Plugs are drawn again condition by condition.
    """
    numbers, owner = np.unique(plug, return_inverse=True)
    label = np.array([CONDITIONS.index(name) for name in truth])
    of_plug = np.zeros(len(numbers), np.int64)
    of_plug[owner] = label
    counts = np.stack([_counts(owner, label, answers) for answers in (new, old)])
    rng = np.random.default_rng(SEED)
    drawn = np.zeros((TURNS, len(numbers)), np.int64)
    for k in np.unique(of_plug):
        own = np.flatnonzero(of_plug == k)
        drawn[:, own] = rng.multinomial(len(own), np.full(len(own), 1 / len(own)), TURNS)
    whole = counts.sum(axis=1)
    again = np.einsum("tp,mpab->mtab", drawn, counts)
    conditions = {
        name: _difference(_recall(whole, k), _recall(again, k), int((of_plug == k).sum()))
        for k, name in enumerate(CONDITIONS)
        if (of_plug == k).any()
    }
    missing = {
        name: max(0, TO_PROMOTE - int((of_plug == k).sum())) for k, name in enumerate(CONDITIONS)
    }
    return Comparison(
        _difference(macro_f1(whole), macro_f1(again), len(numbers)), conditions, missing
    )


def _counts(owner: NDArray[np.int64], truth: NDArray[np.int64], answers: Sequence[str]) -> Array:
    """float64 (plugs, 5, 5): each plug's photos, sharing its weight, by truth and answer."""
    given = np.array([CONDITIONS.index(name) for name in answers])
    held = np.zeros((owner.max() + 1, len(CONDITIONS), len(CONDITIONS)))
    np.add.at(held, (owner, truth, given), 1.0 / np.bincount(owner)[owner])
    return held


def f1_scores(counts: Array) -> Array:
    """2 hits / (truths + answers) of each condition, (..., 5), of counts (..., 5, 5 or more) by
    truth and answer; reference library: scikit-learn (see the tests)."""
    hits = np.diagonal(counts, axis1=-2, axis2=-1)
    both = counts.sum(axis=-1) + counts.sum(axis=-2)[..., : hits.shape[-1]]
    return np.asarray(2 * hits / np.maximum(both, 1e-12))


def macro_f1(counts: Array) -> Array:
    """Mean of `f1_scores` over the conditions that occur: a shop need not have all of them."""
    scores, occurs = f1_scores(counts), counts.sum(axis=-1) > 0
    return np.asarray((scores * occurs).sum(axis=-1) / occurs.sum(axis=-1))


def _recall(counts: Array, k: int) -> Array:
    return np.asarray(counts[..., k, k] / counts[..., k, :].sum(axis=-1))


def _difference(whole: Array, again: Array, n: int) -> Difference:
    """whole: (2,), new and old. again: (2, turns)."""
    low, high = np.quantile(again[0] - again[1], (0.025, 0.975))
    return Difference(float(whole[0]), float(whole[1]), float(low), float(high), n)
