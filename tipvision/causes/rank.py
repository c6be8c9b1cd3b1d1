"""How probable each cause is on this engine.

Naive Bayes with the cause as the one unknown. For cause c, with the photo's probability p(k) of
each condition k, its findings f and the facts that were told:

    score(c) = Σₖ p(k) · share(c | k)  ·  Π_f odds(f, c)  ·  Π_facts P(result | c) / P(result)

    odds(f, c) = p(f) · P(f | c) / P(f)  +  (1 − p(f)) · (1 − P(f | c)) / (1 − P(f))

The shares of one condition sum to 1 over the causes that the engine can have. A finding that is not
even hinted at counts as not there; one for which no model was trained, and a fact that is not
known, have the factor 1. The probability of a cause is its score divided by the sum of all. Source
of the rule: common practice, no published source; of its numbers: the knowledge.
"""

from collections.abc import Mapping
from functools import lru_cache
from itertools import product

from tipvision.causes.explanation import Cause, Engine
from tipvision.causes.facts import told_facts
from tipvision.causes.known import FUELS, STROKES, Knowledge, KnownCause
from tipvision.causes.trace import Factor, Term, Trace
from tipvision.condition.condition import FINDINGS, LABELS, Condition

HEALTHY = ("normal", "unused")

# Source of all five: our estimate.
LIKELY_FROM = 0.4
POSSIBLE_FROM = 0.1
FLOOR = 0.03  # below it a cause is not worth a technician's time
MOST_CAUSES = 6
HINT_FROM = 0.2  # a finding below it is taken for noise


def engine_kinds(engine: Engine) -> tuple[tuple[str, str], ...]:
    """Every (stroke, fuel) that the engine may be."""
    strokes = STROKES if engine.stroke is None else (engine.stroke,)
    fuels = FUELS if engine.fuel is None else (engine.fuel,)
    return tuple(product(strokes, fuels))


def condition_weights(condition: Condition) -> dict[str, float]:
    """The probability of each condition and of "none", summing to 1.

    A photo that allows only healthy answers says nothing through the conditions that it rules out:
    there the possible ones share the whole.
    """
    healthy = set(condition.possible) <= set(HEALTHY)
    weights = {
        name: condition.probabilities.get(name, 0.0)
        for name in (condition.possible if healthy else LABELS)
    }
    total = sum(weights.values())
    return {name: weight / total for name, weight in weights.items() if weight > 0}


def traces(
    condition: Condition, engine: Engine, facts: Mapping[str, str], knowledge: Knowledge
) -> tuple[Trace, ...]:
    """How each cause that this engine can have comes to its score, in the order of the knowledge.

    What is not known of the engine is averaged over, two and four, carburettor and injection being
    equally likely (our estimate). Raises ValueError for facts that do not fit (`facts.py`).
    """
    told, engine = told_facts(facts, engine, knowledge)
    weights = condition_weights(condition)
    shares = _shares(weights, engine, knowledge)
    return tuple(
        Trace(
            cause.id,
            tuple(
                Term(f"{cause.id}.share.{label}", shares[cause.id][label], weight)
                for label, weight in weights.items()
                if label in shares[cause.id]
            ),
            (
                *_finding_factors(condition, cause, knowledge),
                *_fact_factors(told, cause, knowledge),
            ),
        )
        for cause in knowledge.causes.values()
        if cause.kind.fits(engine)
    )


def _shares(
    labels: Mapping[str, float], engine: Engine, knowledge: Knowledge
) -> dict[str, dict[str, float]]:
    """By cause, then by condition, the share of it: the mean over the kinds that the engine may be,
    each summing to 1 over the causes that fit."""
    shares: dict[str, dict[str, float]] = {id_: {} for id_ in knowledge.causes}
    kinds = engine_kinds(engine)
    for (stroke, fuel), label in product(kinds, labels):
        for id_, share in _shares_of(label, stroke, fuel, knowledge).items():
            shares[id_][label] = shares[id_].get(label, 0.0) + share / len(kinds)
    return shares


@lru_cache(maxsize=64)
def _shares_of(label: str, stroke: str, fuel: str, knowledge: Knowledge) -> Mapping[str, float]:
    """By cause, its share of a condition on engines of one kind; they sum to 1."""
    exact = Engine(stroke, fuel)
    of_label = {
        cause.id: cause.share[stroke][label]
        for cause in knowledge.causes.values()
        if cause.kind.fits(exact) and label in cause.share[stroke]
    }
    whole = sum(of_label.values())
    return {id_: share / whole for id_, share in of_label.items()}


def _finding_factors(condition: Condition, cause: KnownCause, knowledge: Knowledge) -> list[Factor]:
    factors = []
    for name in FINDINGS:
        p = condition.findings.get(name)
        if name in cause.findings and p is not None:
            p, with_cause = (p if p >= HINT_FROM else 0.0), cause.findings[name]
            usual = knowledge.findings[name].usual
            odds = p * with_cause / usual + (1 - p) * (1 - with_cause) / (1 - usual)
            factors.append(Factor(f"{cause.id}.findings.{name}", odds))
    return factors


def _fact_factors(told: Mapping[str, str], cause: KnownCause, knowledge: Knowledge) -> list[Factor]:
    factors = [
        Factor(f"{cause.id}.facts.{name}.{result}", cause.facts[name][result] / fact.usual[result])
        for name, result in told.items()
        for fact in [knowledge.facts[name]]
        if name in cause.facts
    ]
    factors += [
        Factor(f"{name}.leaves.{result}", 0.0)
        for name, result in told.items()
        for fact in [knowledge.facts[name]]
        if result in fact.leaves and cause.id not in fact.leaves[result]
    ]
    return factors


def cause_probabilities(
    condition: Condition, engine: Engine, facts: Mapping[str, str], knowledge: Knowledge
) -> dict[str, float]:
    """The probability, 0 to 1, that each cause is the main one, summing to 1.

    All are 0 where the facts together rule every cause out.
    """
    scores = dict.fromkeys(knowledge.causes, 0.0)
    scores |= {trace.cause: trace.score for trace in traces(condition, engine, facts, knowledge)}
    total = sum(scores.values())
    return {id_: score / total for id_, score in scores.items()} if total else scores


def rank_word(probability: float) -> str:
    if probability >= LIKELY_FROM:
        return "likely"
    return "possible" if probability >= POSSIBLE_FROM else "less likely"


def ranked_causes(probabilities: Mapping[str, float], knowledge: Knowledge) -> tuple[Cause, ...]:
    """The causes worth naming, most probable first, ties in the order of the knowledge."""
    ranked = sorted(probabilities, key=lambda id_: -probabilities[id_])
    return tuple(
        Cause(id_, knowledge.causes[id_].text, probabilities[id_], rank_word(probabilities[id_]))
        for id_ in ranked[:MOST_CAUSES]
        if probabilities[id_] >= FLOOR
    )
