"""Which checks come next: those that tell most about the cause in the fewest minutes.

The worth of a check is the mutual information of cause and result, in bits, divided by its minutes:
how much surer of the cause one expects to be after it (Shannon's entropy, common practice, no
published source). Results have the probabilities that `causes.toml` gives each cause; several facts
that one check tells are taken as independent, given the cause.
"""

from collections.abc import Container, Mapping, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipvision.causes.explanation import Check, Engine, Verdict
from tipvision.causes.known import NEEDS, Knowledge, KnownCause, KnownCheck, KnownFact

Array = NDArray[np.float64]

# Source of all three: our estimate.
MOST_CHECKS = 4
LEAST_BITS = 0.02  # a check that tells less is not worth its minutes
HEALTHY_FROM = 0.7  # so surely nothing is wrong that no check is proposed


def is_allowed(needs: str, verdict: Verdict) -> bool:
    """Whether the engine may do what a check or a piece of advice needs, under this verdict."""
    most = {"do_not_start": "nothing", "not_under_load": "running"}.get(verdict.engine, "load")
    return NEEDS.index(needs) <= NEEDS.index(most)


def outcomes(
    check: KnownCheck, causes: Sequence[KnownCause], told: Container[str], knowledge: Knowledge
) -> Array:
    """P(result | cause), float64 (causes, results): a row for each cause, a column for each result,
    or each combination of results, that is not told yet."""
    table = np.ones((len(causes), 1))
    for id_ in check.tells:
        if id_ not in told:
            results = _results(knowledge.facts[id_], causes)
            table = (table[:, :, None] * results[:, None, :]).reshape(
                len(causes), table.shape[1] * results.shape[1]
            )
    return table


def _results(fact: KnownFact, causes: Sequence[KnownCause]) -> Array:
    """P(result | cause), float64 (causes, results): what a result rules out cannot have it."""
    rows = [list(cause.facts.get(fact.id, fact.usual).values()) for cause in causes]
    table = np.array(rows, dtype=float).reshape(len(causes), len(fact.usual))
    for column, result in enumerate(fact.usual):
        if left := fact.leaves.get(result):
            table[[cause.id not in left for cause in causes], column] = 0.0
    whole: Array = table.sum(axis=1, keepdims=True)
    return table / whole


def information(probabilities: Array, results: Array, left: Array | None = None) -> float:
    """Mutual information of cause and result in bits, from P(cause) (causes,) and P(result | cause)
    (causes, results): the entropy of the result less what is left of it once the cause is known.

    left: what is left for each cause, bits (causes,), where that is known already.
    """
    left = _entropies(results) if left is None else left
    return _entropy(probabilities @ results) - float(probabilities @ left)


@lru_cache(maxsize=256)
def _outlook(check_id: str, told: frozenset[str], knowledge: Knowledge) -> tuple[Array, Array]:
    """What `information` needs of a check, for all causes; where what is told rules one out, 0."""
    causes = tuple(knowledge.causes.values())
    with np.errstate(invalid="ignore"):
        results = outcomes(knowledge.checks[check_id], causes, told, knowledge)
    results = np.nan_to_num(results)
    return results, _entropies(results)


def _entropy(shares: Array) -> float:
    return float(_entropies(shares[None, :])[0])


def _entropies(shares: Array) -> Array:
    """Entropy in bits of each row of shares that sum to 1; what is 0 adds nothing."""
    bits: Array = -np.sum(shares * np.log2(np.where(shares > 0, shares, 1.0)), axis=1)
    return bits


def is_open(check: KnownCheck, told: Mapping[str, str], knowledge: Knowledge) -> bool:
    """Whether the result is not known yet, while that of the check before it is."""
    before = () if check.after is None else knowledge.checks[check.after].tells
    return not set(check.tells) <= told.keys() and set(before) <= told.keys()


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
    worth = {
        check.id: information(
            p, *_outlook(check.id, frozenset(told.keys() & check.tells), knowledge)
        )
        for check in knowledge.checks.values()
        if check.kind.fits(engine)
        and is_allowed(check.needs, verdict)
        and is_open(check, told, knowledge)
    }

    def urgent(id_: str) -> bool:
        return in_danger and knowledge.checks[id_].looks_for_danger

    useful = [id_ for id_, bits in worth.items() if urgent(id_) or bits >= LEAST_BITS]
    useful.sort(key=lambda id_: (not urgent(id_), -worth[id_] / knowledge.checks[id_].minutes))
    return tuple(_shown(knowledge.checks[id_], engine, knowledge) for id_ in useful[:MOST_CHECKS])


def _shown(check: KnownCheck, engine: Engine, knowledge: Knowledge) -> Check:
    """The check with those of its cautions that are for this engine."""
    cautions = (id_ for id_ in check.cautions if knowledge.cautions[id_].kind.fits(engine))
    return Check(check.id, check.text, check.minutes, tuple(cautions))
