"""Which causes belong to one cylinder of a set, and which all share."""

from collections.abc import Sequence
from dataclasses import dataclass

from tipvision.causes.known import CYLINDER, ENGINE
from tipvision.causes.shop import knowledge
from tipvision.comparison.odd_one import Comparison
from tipvision.record.reading import Reading

# How probable the whole set would look so, if a cause of the other scope were at work: a fault that
# all share, with the others clean; or one fault in each cylinder at once. Our estimate.
COINCIDENCE = 0.1
FLOOR = 0.03  # below it a cause is not worth a technician's time; our estimate
MOST_CAUSES = 6


@dataclass(frozen=True)
class SetCause:
    """One cause, weighed with the whole set in mind.

    probability: 0 to 1; share among the causes of its plug, or the mean over the plugs that share
                 it.
    plugs:       the plugs that show it, from 0.
    """

    id: str
    text: str
    probability: float
    plugs: tuple[int, ...]


@dataclass(frozen=True)
class SetCauses:
    """own: causes of the plugs that stand apart. shared: causes that the other plugs have in
    common. Both most probable first."""

    own: tuple[SetCause, ...]
    shared: tuple[SetCause, ...]


def set_causes(readings: Sequence[Reading], comparison: Comparison) -> SetCauses:
    """Split the causes of the readings into what belongs to single cylinders and what all share.

    In a plug that stands apart, a cause that the engine's cylinders share counts `COINCIDENCE` of
    its probability, for it would show in the others as well. Among the others, what belongs to a
    single cylinder counts as much less, for it would have to strike each of them. What can be
    either keeps its weight. Each plug's causes are made to sum to what they did. Source of the
    rule: common practice, no published source; of the factor: our estimate.
    """
    odd = comparison.odd
    rest = [i for i in range(len(readings)) if i not in odd]
    own = [c for i in odd for c in _weighed(readings[i], i, ENGINE)]
    return SetCauses(_worth_naming(own), _worth_naming(_shared(readings, rest)))


def _shared(readings: Sequence[Reading], plugs: Sequence[int]) -> list[SetCause]:
    """Causes that more than half of these plugs have."""
    by_id: dict[str, list[SetCause]] = {}
    for i in plugs:
        for cause in _weighed(readings[i], i, CYLINDER if len(plugs) > 1 else None):
            by_id.setdefault(cause.id, []).append(cause)
    return [
        SetCause(
            id_,
            found[0].text,
            sum(cause.probability for cause in found) / len(plugs),
            tuple(cause.plugs[0] for cause in found),
        )
        for id_, found in by_id.items()
        if 2 * len(found) > len(plugs)
    ]


def _weighed(reading: Reading, plug: int, doubted: str | None) -> list[SetCause]:
    """A reading's causes, those of the `doubted` scope at a fraction, with the same sum."""
    causes = reading.explanation.causes if reading.explanation is not None else ()
    known = knowledge().causes
    coincident = {id_ for id_, cause in known.items() if doubted and cause.scope == doubted}
    weights = [
        cause.probability * (COINCIDENCE if cause.id in coincident else 1.0) for cause in causes
    ]
    scale = sum(cause.probability for cause in causes) / sum(weights) if weights else 0.0
    return [
        SetCause(cause.id, cause.text, weight * scale, (plug,))
        for cause, weight in zip(causes, weights, strict=True)
    ]


def _worth_naming(causes: Sequence[SetCause]) -> tuple[SetCause, ...]:
    ranked = sorted(causes, key=lambda cause: -cause.probability)
    return tuple(cause for cause in ranked if cause.probability >= FLOOR)[:MOST_CAUSES]
