"""The score of a cause, as the entries that it comes from."""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Term:
    """What one condition adds: `entry` names the share in the knowledge, `share` is that number
    made to sum to 1 over the causes of this engine, `probability` is the photo's."""

    entry: str
    share: float
    probability: float


@dataclass(frozen=True)
class Factor:
    """How many times as often one finding or fact is met with this cause as it usually is."""

    entry: str
    value: float


@dataclass(frozen=True)
class Trace:
    """All that the score of a cause is made of, by entry of the knowledge."""

    cause: str
    terms: tuple[Term, ...]
    factors: tuple[Factor, ...]

    @property
    def score(self) -> float:
        """Σ share · probability over the terms, times the product of the factors."""
        start = sum(term.share * term.probability for term in self.terms)
        return start * math.prod(factor.value for factor in self.factors)
