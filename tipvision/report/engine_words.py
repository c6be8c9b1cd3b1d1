"""What was told of the engine beside the photo, in words."""

from collections.abc import Mapping
from dataclasses import dataclass

from tipvision.causes.explanation import Engine
from tipvision.report.words import listed


@dataclass(frozen=True)
class EngineWords:
    """line: which engine it is, such as "Engine: TB-07, two-stroke, carburettor". facts: what was
    found or told of it. "" where nothing is known."""

    line: str = ""
    facts: str = ""


NOTHING_TOLD = EngineWords()


def engine_words(engine: Engine, facts: Mapping[str, str]) -> EngineWords:
    """The engine and its facts, as `--engine-file` and `--fact` gave them."""
    kind = [
        engine.name,
        engine.stroke and f"{engine.stroke}-stroke",
        engine.fuel,
        engine.cooling and f"{engine.cooling}-cooled",
    ]
    known = ", ".join(word for word in kind if word)
    found = [f"{name} {result}".replace("_", " ") for name, result in facts.items()]
    return EngineWords(
        f"Engine: {known}" if known else "",
        f"Told by mouth or found by checks: {listed(found)}." if found else "",
    )
