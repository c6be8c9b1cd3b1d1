"""Which checks come next: those that are expected to find the cause in the fewest minutes.

`foresight.py` says what a check brings a minute, `results.py` what it would give. A check that
tells next to nothing of the cause, in bits (Shannon's entropy, common practice, no published
source), is left out.
"""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from tipvision.causes.explanation import Check, Engine, Verdict
from tipvision.causes.foresight import information, rates
from tipvision.causes.known import NEEDS, Knowledge, KnownCheck
from tipvision.causes.results import outlook

# Source of all three: our estimate.
MOST_CHECKS = 4
LEAST_BITS = 0.02  # a check that tells less is not worth its minutes
HEALTHY_FROM = 0.7  # so surely nothing is wrong that no check is proposed


def is_allowed(needs: str, verdict: Verdict) -> bool:
    """Whether the engine may do what a check or a piece of advice needs, under this verdict."""
    most = {"do_not_start": "nothing", "not_under_load": "running"}.get(verdict.engine, "load")
    return NEEDS.index(needs) <= NEEDS.index(most)


def is_open(check: KnownCheck, told: Mapping[str, str], knowledge: Knowledge) -> bool:
    """Whether the result is not known yet, while that of the check before it is."""
    before = () if check.after is None else knowledge.checks[check.after].tells
    return not set(check.tells) <= told.keys() and set(before) <= told.keys()


def check_rates(
    p: NDArray[np.float64],
    checks: Sequence[KnownCheck],
    told: Mapping[str, str],
    knowledge: Knowledge,
) -> dict[str, float]:
    """What each check brings a minute (`foresight.rates`), by id: of those that are open, with the
    others in mind that open after them.

    p: P(cause), float64 (causes,), in the order of the knowledge.
    """
    known = frozenset(told)
    now = np.array([is_open(check, told, knowledge) for check in checks], dtype=bool)
    after = _can_follow(checks, now, known, knowledge)
    of_each = rates(
        p,
        [outlook(check.id, known.intersection(check.tells), knowledge) for check in checks],
        np.array([check.minutes for check in checks], dtype=float),
        now,
        after,
    )
    told_by = zip(checks, of_each.tolist(), now.tolist(), strict=True)
    return {check.id: rate for check, rate, there in told_by if there}


def _can_follow(
    checks: Sequence[KnownCheck],
    now: NDArray[np.bool_],
    known: frozenset[str],
    knowledge: Knowledge,
) -> NDArray[np.bool_]:
    """Whether the check of the column is open once that of the row is done, and tells nothing that
    this one has told; bool (n, n). now: whether each is open already."""
    tells = np.array([[id_ in check.tells for id_ in knowledge.facts] for check in checks], float)
    follow: NDArray[np.bool_] = np.broadcast_to(now, (len(checks), len(checks))).copy()
    for column, check in enumerate(checks):
        if check.after is not None and not now[column] and not known.issuperset(check.tells):
            before = set(knowledge.checks[check.after].tells)
            follow[:, column] = [before <= known.union(first.tells) for first in checks]
    return np.asarray(follow & (tells @ tells.T == 0))


def next_checks(
    probabilities: Mapping[str, float],
    engine: Engine,
    told: Mapping[str, str],
    verdict: Verdict,
    knowledge: Knowledge,
) -> tuple[Check, ...]:
    """At most `MOST_CHECKS` checks, the most useful first, given the probability of each cause.

    A check that does not fit the engine, whose result is known, that tells next to nothing, or that
    the verdict forbids is left out. Where the engine must not be started, the look for danger comes
    first; where nothing seems wrong and the engine may run, none is proposed.
    """
    in_danger = verdict.engine == "do_not_start"
    healthy = sum(probabilities[c.id] for c in knowledge.causes.values() if not c.fault)
    if healthy >= HEALTHY_FROM and verdict.engine == "run":
        return ()
    p = np.array([probabilities[id_] for id_ in knowledge.causes])
    checks = [
        check
        for check in knowledge.checks.values()
        if check.kind.fits(engine) and is_allowed(check.needs, verdict)
    ]
    rate = check_rates(p, checks, told, knowledge)

    def urgent(id_: str) -> bool:
        return in_danger and knowledge.checks[id_].looks_for_danger

    def tells(id_: str) -> float:
        known = frozenset(told.keys() & knowledge.checks[id_].tells)
        return information(p, outlook(id_, known, knowledge))

    useful = [id_ for id_ in rate if urgent(id_) or tells(id_) >= LEAST_BITS]
    useful.sort(key=lambda id_: (not urgent(id_), -rate[id_]))
    return tuple(_shown(knowledge.checks[id_], engine, knowledge) for id_ in useful[:MOST_CHECKS])


def _shown(check: KnownCheck, engine: Engine, knowledge: Knowledge) -> Check:
    """The check with those of its cautions that are for this engine."""
    cautions = (id_ for id_ in check.cautions if knowledge.cautions[id_].kind.fits(engine))
    return Check(check.id, check.text, check.minutes, tuple(cautions), check.tells)
