"""What each check would give: the probability of every result, for every cause."""

from collections.abc import Container, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipvision.causes.known import Knowledge, KnownCause, KnownCheck, KnownFact

Array = NDArray[np.float64]


def outcomes(
    check: KnownCheck, causes: Sequence[KnownCause], told: Container[str], knowledge: Knowledge
) -> Array:
    """P(result | cause), float64 (causes, results): a row for each cause, a column for each result,
    or each combination of results, that is not told yet.

    Several facts that one check tells are taken as independent, given the cause. A cause that the
    results leave nothing for has a row of 0.
    """
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
    return np.asarray(np.divide(table, whole, out=np.zeros_like(table), where=whole > 0))


@lru_cache(maxsize=256)
def outlook(check_id: str, told: frozenset[str], knowledge: Knowledge) -> Array:
    """`outcomes` of a check for all causes of the knowledge."""
    causes = tuple(knowledge.causes.values())
    return outcomes(knowledge.checks[check_id], causes, told, knowledge)
