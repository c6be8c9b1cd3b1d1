"""What checks are expected to bring a minute, with a look at the check that would come after each.

What is known of the cause, p, is worth the more the nearer the cause is to being found:

    W(p) = max p · (share of `FOUND` that max p reaches)  −  BIT · H(p)

with Shannon's entropy H in bits. The gain of a check is what W is expected to rise by. A check that
only leads to another one would look poor alone; so its rate is that of the best plan of it and, for
each of its results r, a next check b(r) or none:

    rate = (gain + Σᵣ P(r) · gain of b(r)) / (minutes + Σᵣ P(r) · minutes of b(r))

To do first what brings most a minute is how a search is kept short (common practice, no published
source); W is our own arrangement. `python -m pipelines.bench.next_checks` counts the minutes.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Source of all: our estimate, tried on simulated engines of other seeds than the benchmark's.
FOUND = (0.5, 0.8)  # probabilities of the foremost cause from which it is half, and fully, found
BIT = 0.2  # worth of a bit, where a cause that is certain is worth 1
LOOKED_FURTHER = 6  # of the checks, those that are best alone; the others keep their own rate
SELDOM = 2e-3  # results of a check that are rarer are taken as one
IMPOSSIBLE = 1e-5  # a cause that is less probable moves no order
ROUNDS = 4  # a rate settles in two or three
TIE = 1e-9  # lets a cause that is as probable as `FOUND` asks pass whatever the rounding


@dataclass(frozen=True)
class Outlooks:
    """The results of n checks side by side, for k causes: P(result | cause), float64 (k, s), the
    column at which each check begins, (n,), and the entropy that is left of each check's result
    where the cause is known, bits (k, n)."""

    results: Array
    starts: NDArray[np.intp]
    left: Array

    @property
    def check_of(self) -> NDArray[np.intp]:
        """The check that each column is of, (s,)."""
        return np.repeat(
            np.arange(len(self.starts)), np.diff(self.starts, append=self.results.shape[1])
        )


def rates(
    p: Array,
    results: Sequence[Array],
    minutes: Array,
    is_open: NDArray[np.bool_],
    can_follow: NDArray[np.bool_],
) -> Array:
    """What each of n checks brings a minute, float64 (n,); minus infinity where it is not open.

    p:       P(cause), (causes,). results: of each check P(result | cause), (causes, results).
    minutes: (n,), above 0.
    is_open: (n,), whether the check can be done now. can_follow: (n, n), whether the check of the
             column can be done once that of the row is.
    """
    rate = np.full(len(results), -np.inf)
    if not is_open.any() or p.sum() <= 0:
        return rate
    likely = p > IMPOSSIBLE
    p = p[likely] / p[likely].sum()
    checks = _side_by_side([_seldom_as_one(p, table[likely]) for table in results])
    alone = gains(p[None], checks)[0]
    rate[is_open] = (alone / minutes)[is_open]
    further = [i for i in np.argsort(-rate, kind="stable")[:LOOKED_FURTHER] if is_open[i]]

    of_result = p @ checks.results
    followed = np.isin(checks.check_of, further) & (of_result > 0)
    column_of = checks.check_of[followed]
    after = (p[:, None] * checks.results[:, followed] / of_result[followed]).T
    then = np.where(can_follow[column_of], gains(after, checks), 0.0)
    most = float(rate.max())
    for i in further:
        mine = column_of == i
        rate[i] = _of_best_plan(
            alone[i], minutes[i], of_result[followed][mine], then[mine], minutes, most
        )
    return rate


def _of_best_plan(
    gain: float, cost: float, of_result: Array, then: Array, minutes: Array, most: float
) -> float:
    """The rate of a check with the next checks that make it highest.

    of_result: P(result), (r,). then: gain of each check after each result, (r, n). most: the rate
    of what could be done instead. A next check is in the plan where it brings more a minute than
    the plan itself, so plan and rate are found in turn (Dinkelbach's method for ratios: from
    memory, unchecked).
    """
    rate = max(gain / cost, most)
    rows, best = np.arange(len(then)), gain / cost
    for _ in range(ROUNDS):
        surplus = then - rate * minutes
        pick = surplus.argmax(axis=1)
        weight = of_result * (surplus[rows, pick] > 0)
        rate = float((gain + weight @ then[rows, pick]) / (cost + weight @ minutes[pick]))
        best = max(best, rate)
    return best


def gains(p: Array, checks: Outlooks) -> Array:
    """What the worth of knowing is expected to rise by, float64 (m, n), for m states of knowledge:
    P(cause), each summing to 1, (m, k)."""
    of_result = p @ checks.results
    foremost = np.zeros_like(of_result)
    for k in range(p.shape[1]):  # one cause after another: all at once would be slower
        np.maximum(foremost, p[:, k, None] * checks.results[k], out=foremost)
    after = np.add.reduceat(_found(foremost, of_result), checks.starts, axis=1)
    bits = np.add.reduceat(_bits(of_result), checks.starts, axis=1) - p @ checks.left
    before = _found(p.max(axis=1), np.ones(len(p)))
    return np.asarray(after - before[:, None] + BIT * bits)


def information(p: Array, results: Array) -> float:
    """Mutual information of cause and result in bits, from P(cause) (causes,) and P(result | cause)
    (causes, results): the entropy of the result less what is left of it once the cause is known."""
    return float(_bits(p @ results).sum() - p @ _bits(results).sum(axis=1))


def _seldom_as_one(p: Array, results: Array) -> Array:
    """P(result | cause) with the seldom results of a check as one: many facts that one question
    tells have hundreds of combinations."""
    seldom = p @ results < SELDOM
    return np.column_stack([results[:, ~seldom], results[:, seldom].sum(axis=1)])


def _side_by_side(tables: Sequence[Array]) -> Outlooks:
    """The tables of n checks as one."""
    starts = np.cumsum([0, *(table.shape[1] for table in tables[:-1])])
    results = np.concatenate(tables, axis=1)
    return Outlooks(results, starts, np.add.reduceat(_bits(results), starts, axis=1))


def _found(foremost: Array, whole: Array) -> Array:
    """How far the foremost cause is found: its probability of the whole, times the share of `FOUND`
    that it reaches, times the whole."""
    reached = sum((foremost >= (at - TIE) * whole).astype(float) for at in FOUND)
    return np.asarray(foremost * reached / len(FOUND))


def _bits(shares: Array) -> Array:
    """What each share adds to an entropy, bits; what is 0 adds nothing."""
    return np.asarray(-shares * np.log2(np.where(shares > 0, shares, 1.0)))
