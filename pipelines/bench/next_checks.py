"""Whether the order in which checks are proposed finds the cause sooner than a fixed order does.

`python -m pipelines.bench.next_checks [--cases N] [--seed S]`. Each case (`workshop_cases.py`) has
a known cause. Checks are done one after another, each result moves the causes as in the tool, and
the minutes are counted until the true cause stands first with a probability of at least `FOUND`.
Cases in which it does not stand there even when all checks are done are counted apart. The orders:

- tool: after every result, the check that the tool proposes (`causes/next_checks.py`);
- minutes: the shortest check first;
- prior: the prior probability of the causes that the check looks for, a minute;
- trade: the usual causes one after another (`trade_order.toml`), each with the check that looks
  for it.

All orders choose among the same checks, start from the same photo and read results in the same way;
only the order differs. The rules of the house hold for all: what the verdict forbids is not done, a
check that needs another waits for it, and a look for danger comes first.
"""

import argparse
import sys
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pipelines.bench.intervals import rate_line
from pipelines.bench.workshop_cases import WITH_A_FAULT, Case, draw_case
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.known import Knowledge, KnownCause, KnownCheck
from tipvision.causes.next_checks import check_rates, is_allowed, is_open
from tipvision.causes.rank import cause_probabilities
from tipvision.causes.verdict import verdict

Array = NDArray[np.float64]

FOUND = (0.5, 0.8)
SURE_FROM = 0.9
ASKED_SAVING = 0.15
LOOKS_FOR = 3.0  # a check looks for a cause that makes a result so much more frequent than usual
IN_PLAY = 0.005  # prior of a cause that is worth looking for at all
RESAMPLES = 2000
FEWEST = 20  # cases that an interval by resampling can be made from

_TRADE = tomllib.loads(Path(__file__).with_name("trade_order.toml").read_text("utf-8"))
TRADE_ORDER: Mapping[str, list[str]] = {label: _TRADE[label] for label in WITH_A_FAULT}


@dataclass
class Search:
    """One case while it is being looked into; `p` is the probability of each of `causes`."""

    case: Case
    causes: list[KnownCause]
    p: Array
    checks: list[KnownCheck]
    told: dict[str, str]


Order = Callable[[Search, Knowledge], Callable[[Sequence[KnownCheck]], KnownCheck]]


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--cases", type=int, default=2000, help="(%(default)s)")
    parser.add_argument("--seed", type=int, default=0, help="(%(default)s)")
    options = parser.parse_args(arguments)
    knowledge = shipped_knowledge()
    rng = np.random.default_rng(options.seed)
    cases = [draw_case(knowledge, rng) for _ in range(options.cases)]
    spent = {
        name: np.array([minutes(case, order, knowledge) for case in cases])
        for name, order in ORDERS.items()
    }
    sure = np.array([case.sure >= SURE_FROM for case in cases])
    savings = []
    for column, at in enumerate(FOUND):
        savings.append(compared(spent, column, at, rng))
        print(f"of these, the photos that are {SURE_FROM:.0%} sure of the condition:")
        of_sure = {name: values[sure] for name, values in spent.items()}
        savings.append(compared(of_sure, column, at, rng))
    return int(min(savings) < ASKED_SAVING)


def compared(spent: Mapping[str, Array], column: int, at: float, rng: np.random.Generator) -> float:
    """Print the minutes of each order; returns what the first saves against the best other."""
    ours, *others = spent
    can_be = np.isfinite(spent[ours][:, column])
    print(f"true cause first with {at:.0%} or more, mean minutes:")
    print(f"  {rate_line('cases in which all checks together get there', *_count(can_be))}")
    if can_be.sum() < FEWEST:
        print("  too few to compare")
        return 0.0
    taken = {name: values[can_be, column] for name, values in spent.items()}
    for name, values in taken.items():
        print(f"  {name}: {values.mean():.1f}")
    best = min(others, key=lambda name: taken[name].mean())
    saved, low, high = saving(taken[ours], taken[best], rng)
    print(
        f"  {ours} against {best}, the best of the others: {saved:.1%} fewer"
        f" (95 % interval {low:.1%} to {high:.1%}; asked for {ASKED_SAVING:.0%})"
    )
    return saved


def _count(there: NDArray[np.bool_]) -> tuple[int, int]:
    return int(there.sum()), len(there)


def saving(ours: Array, other: Array, rng: np.random.Generator) -> tuple[float, float, float]:
    """Share of the minutes saved in the mean, with its 95 % interval by resampling the cases."""
    picks = rng.integers(len(ours), size=(RESAMPLES, len(ours)))
    resampled = 1 - ours[picks].mean(axis=1) / other[picks].mean(axis=1)
    low, high = np.quantile(resampled, [0.025, 0.975])
    return float(1 - ours.mean() / other.mean()), float(low), float(high)


def minutes(case: Case, order: Order, knowledge: Knowledge) -> list[float]:
    """Minutes until the cause is found, for each of `FOUND`; infinite where it does not stand there
    once every check was done."""
    search = begin(case, knowledge)
    truth = [cause.id for cause in search.causes].index(case.cause)
    pick = order(search, knowledge)
    found, spent = [np.inf] * len(FOUND), 0
    while True:
        there = [search.p[truth] >= max(at, search.p.max()) for at in FOUND]
        found = [min(when, spent) if now else when for when, now in zip(found, there, strict=True)]
        left = [check for check in search.checks if is_open(check, search.told, knowledge)]
        if not left:
            return [when if now else np.inf for when, now in zip(found, there, strict=True)]
        check = pick(left)
        spent += check.minutes
        do(search, check, knowledge)


def begin(case: Case, knowledge: Knowledge) -> Search:
    """The case as the photo leaves it, and the checks that look for a cause in play."""
    known = case.told()
    probabilities = cause_probabilities(case.condition, case.engine, known, knowledge)
    causes = [cause for cause in knowledge.causes.values() if probabilities[cause.id] > 0]
    p = np.array([probabilities[cause.id] for cause in causes])
    judged = verdict(case.condition, knowledge)
    allowed = [
        check
        for check in knowledge.checks.values()
        if check.kind.fits(case.engine) and is_allowed(check.needs, judged)
    ]
    search = Search(case, causes, p, [], known)
    search.checks = [check for check in allowed if looked_for(search, check, knowledge) > 0]
    if judged.engine == "do_not_start":
        for check in allowed:
            if check.looks_for_danger:
                do(search, check, knowledge)
    return search


def do(search: Search, check: KnownCheck, knowledge: Knowledge) -> None:
    """Tell the result of a check, and weigh the causes with it."""
    for name in check.tells:
        if name not in search.told:
            result, fact = search.case.results[name], knowledge.facts[name]
            left = fact.leaves.get(result)
            search.p *= [
                0.0 if left and cause.id not in left else cause.facts.get(name, fact.usual)[result]
                for cause in search.causes
            ]
            search.told[name] = result
    search.p /= search.p.sum()


def times_usual(cause: KnownCause, check: KnownCheck, knowledge: Knowledge) -> float:
    """How many times as often as usual a result of the check is met with the cause, at most."""
    return max(
        share / knowledge.facts[name].usual[result]
        for name in check.tells
        for result, share in cause.facts.get(name, knowledge.facts[name].usual).items()
    )


def looked_for(search: Search, check: KnownCheck, knowledge: Knowledge) -> float:
    """The probability of the causes in play that a check looks for."""
    return sum(
        float(p)
        for cause, p in zip(search.causes, search.p, strict=True)
        if p >= IN_PLAY and times_usual(cause, check, knowledge) >= LOOKS_FOR
    )


def by_tool(search: Search, knowledge: Knowledge) -> Callable[[Sequence[KnownCheck]], KnownCheck]:
    place = {id_: at for at, id_ in enumerate(knowledge.causes)}
    places = [place[cause.id] for cause in search.causes]

    def best(left: Sequence[KnownCheck]) -> KnownCheck:
        p = np.zeros(len(place))
        p[places] = search.p
        rate = check_rates(p, search.checks, search.told, knowledge)
        return max(left, key=lambda check: rate[check.id])

    return best


def by_minutes(
    _search: Search, _knowledge: Knowledge
) -> Callable[[Sequence[KnownCheck]], KnownCheck]:
    return lambda left: min(left, key=lambda check: check.minutes)


def by_prior(search: Search, knowledge: Knowledge) -> Callable[[Sequence[KnownCheck]], KnownCheck]:
    worth = {c.id: looked_for(search, c, knowledge) / c.minutes for c in search.checks}
    return lambda left: max(left, key=lambda check: worth[check.id])


def by_trade(search: Search, knowledge: Knowledge) -> Callable[[Sequence[KnownCheck]], KnownCheck]:
    order: dict[str, int] = {}
    for id_ in TRADE_ORDER[max(TRADE_ORDER, key=search.case.condition.probabilities.__getitem__)]:
        telling = {c.id: times_usual(knowledge.causes[id_], c, knowledge) for c in search.checks}
        best = max(telling, key=telling.__getitem__, default="")
        if telling.get(best, 0.0) >= LOOKS_FOR:
            order.setdefault(best, len(order))
    return lambda left: min(left, key=lambda check: order.get(check.id, len(order)))


ORDERS: Mapping[str, Order] = {
    "tool": by_tool,
    "minutes": by_minutes,
    "prior": by_prior,
    "trade": by_trade,
}


if __name__ == "__main__":
    sys.exit(main())
