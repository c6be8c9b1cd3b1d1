"""Why the plug looks as it does and what to do: the words that go to the technician."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Engine:
    """What is known of the engine; None is "not said"."""

    stroke: str | None = None  # "two" or "four"
    fuel: str | None = None  # "carburettor" or "injection"


@dataclass(frozen=True)
class Cause:
    """One possible cause; `rank_word` is "likely", "possible" or "less likely"."""

    id: str
    text: str
    probability: float
    rank_word: str


@dataclass(frozen=True)
class Check:
    """One check that tells causes apart; `cautions` are ids of cautions that stand with it."""

    id: str
    text: str
    minutes: int
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Sentence:
    """A piece of advice or a caution."""

    id: str
    text: str


@dataclass(frozen=True)
class Verdict:
    """plug: "refit", "clean", "replace" or "check"; engine: "run", "not_under_load",
    "do_not_start" or "check"."""

    plug: str
    engine: str


@dataclass(frozen=True)
class Explanation:
    causes: tuple[Cause, ...]
    checks: tuple[Check, ...]
    advice: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    verdict: Verdict
