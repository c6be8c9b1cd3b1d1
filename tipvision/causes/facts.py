"""What was found or told of the engine, checked against the facts that the knowledge has."""

from collections.abc import Mapping
from dataclasses import replace

from tipvision.causes.explanation import Engine
from tipvision.causes.known import FUELS, STROKES, EngineKind, Knowledge

COOLING = "cooling"  # the engine's own field is this fact


def parse_fact(text: str) -> tuple[str, str]:
    """`choke=stuck` as a pair; ValueError for anything else."""
    name, equals, result = (part.strip() for part in text.partition("="))
    if not (name and equals and result):
        raise ValueError(f"--fact takes NAME=RESULT, such as compression_dry=low, not '{text}'.")
    return name, result


def told_facts(
    facts: Mapping[str, str], engine: Engine, knowledge: Knowledge
) -> tuple[dict[str, str], Engine]:
    """The facts with what the engine says, and the engine with what the facts say: a float bowl is
    a carburettor's.

    Raises ValueError for a fact or a result that is not known, for two facts that contradict each
    other or the engine, and for an engine of unknown stroke or fuel.
    """
    for word, known in ((engine.stroke, STROKES), (engine.fuel, FUELS)):
        if word is not None and word not in known:
            raise ValueError(f"{word!r} is not a kind of engine: say one of {', '.join(known)}.")
    told = dict(facts)
    if engine.cooling is not None and told.setdefault(COOLING, engine.cooling) != engine.cooling:
        raise ValueError(f"The engine is cooled by {engine.cooling}: take the fact {COOLING} back.")
    engine = replace(engine, cooling=told.get(COOLING))
    for name, result in told.items():
        fact = knowledge.facts.get(name)
        if fact is None:
            raise ValueError(f"'{name}' is not a fact: say one of {', '.join(knowledge.facts)}.")
        if result not in fact.usual:
            raise ValueError(f"{name} is not '{result}': say one of {', '.join(fact.usual)}.")
        if not fact.kind.fits(engine):
            raise ValueError(
                f"{name} is a fact of another engine ({_kind_words(fact.kind)}): leave it out."
            )
        engine = replace(
            engine,
            stroke=fact.kind.stroke or engine.stroke,
            fuel=fact.kind.fuel or engine.fuel,
            cooling=fact.kind.cooling or engine.cooling,
        )
    return told, engine


def _kind_words(kind: EngineKind) -> str:
    words = (
        kind.stroke and f"{kind.stroke}-stroke",
        kind.cooling and f"{kind.cooling}-cooled",
        kind.fuel and f"with {kind.fuel}",
    )
    return " ".join(filter(None, words))
