"""How probable each cause is on this engine."""

from itertools import product

from tipvision.causes.explanation import Cause, Engine
from tipvision.causes.knowledge import FUELS, STROKES, Knowledge
from tipvision.condition.condition import CONDITIONS, FINDINGS, Condition

HEALTHY = ("normal", "unused")

# Source of all five: our estimate.
LIKELY_FROM = 0.2
POSSIBLE_FROM = 0.05
FLOOR = 0.03  # below it a cause is not worth a technician's time
MOST_CAUSES = 6
HINT_FROM = 0.2  # a finding below it is taken for noise


def engine_kinds(engine: Engine) -> tuple[tuple[str, str], ...]:
    """Every (stroke, fuel) that the engine may be; ValueError for a word that is not known."""
    for word, known in ((engine.stroke, STROKES), (engine.fuel, FUELS)):
        if word is not None and word not in known:
            raise ValueError(f"{word!r} is not a kind of engine: say one of {', '.join(known)}.")
    strokes = STROKES if engine.stroke is None else (engine.stroke,)
    fuels = FUELS if engine.fuel is None else (engine.fuel,)
    return tuple(product(strokes, fuels))


def sign_weights(condition: Condition) -> dict[str, float]:
    """How much each condition and finding has to say about causes, 0 to 1.

    A condition counts with its probability, a finding with its own once it is more than noise. A
    photo that allows only healthy answers says nothing through the conditions that it rules out.
    """
    healthy = set(condition.possible) <= set(HEALTHY)
    weights = {
        name: condition.probabilities.get(name, 0.0)
        for name in CONDITIONS
        if name not in HEALTHY and not healthy
    }
    for name in FINDINGS:
        probability = condition.findings.get(name)
        if probability is not None and probability >= HINT_FROM:
            weights[name] = probability
    return weights


def cause_probabilities(
    condition: Condition, engine: Engine, knowledge: Knowledge
) -> dict[str, float]:
    """The probability, 0 to 1, that each cause is the main one; it sums to at most 1.

    P(cause) = Σ over signs of weight(sign) · share(cause | sign, engine), where the shares of one
    sign sum to 1 over the causes that this engine can have, and the whole is divided by the sum of
    weights where that is above 1. What is missing to 1 is the chance that nothing is wrong. What is
    not known of the engine is averaged over, two and four, carburettor and injection being equally
    likely. Source of the rule and of the equal chances: our estimate.
    """
    weights = sign_weights(condition)
    total = max(1.0, sum(weights.values()))
    kinds = engine_kinds(engine)
    probabilities = dict.fromkeys(knowledge.causes, 0.0)
    for stroke, fuel in kinds:
        exact = Engine(stroke, fuel)
        fitting = [cause for cause in knowledge.causes.values() if cause.kind.fits(exact)]
        for sign, weight in weights.items():
            shares = {cause.id: cause.likelihood[stroke].get(sign, 0.0) for cause in fitting}
            of_sign = sum(shares.values())
            for id_, share in shares.items():
                if share:
                    probabilities[id_] += weight * share / of_sign / total / len(kinds)
    return probabilities


def rank_word(probability: float) -> str:
    if probability >= LIKELY_FROM:
        return "likely"
    return "possible" if probability >= POSSIBLE_FROM else "less likely"


def ranked_causes(condition: Condition, engine: Engine, knowledge: Knowledge) -> tuple[Cause, ...]:
    """The causes worth naming, most probable first, ties in the order of the knowledge."""
    probabilities = cause_probabilities(condition, engine, knowledge)
    ranked = sorted(probabilities, key=lambda id_: -probabilities[id_])
    return tuple(
        Cause(id_, knowledge.causes[id_].text, probabilities[id_], rank_word(probabilities[id_]))
        for id_ in ranked[:MOST_CAUSES]
        if probabilities[id_] >= FLOOR
    )
