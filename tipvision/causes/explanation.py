"""Why the plug looks as it does and what to do: the words that go to the technician."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Engine:
    """What is known of the engine; None is "not said".

    name:      what the shop calls it.
    stroke:    "two" or "four". fuel: "carburettor" or "injection". cooling: "air" or "liquid".
    thread:    of the plug, such as "M14". seat: "gasket" or "taper". head: "aluminium" or "iron".
    gap_mm:    the gap that is specified, (low, high).
    scale:     how the plug's maker numbers heat ranges: "higher_is_colder" or "higher_is_hotter".
    jetted_at_m, jetted_at_c: altitude and air temperature that the jets were chosen for.
    """

    stroke: str | None = None
    fuel: str | None = None
    cooling: str | None = None
    name: str | None = None
    thread: str | None = None
    seat: str | None = None
    head: str | None = None
    gap_mm: tuple[float, float] | None = None
    scale: str | None = None
    jetted_at_m: float | None = None
    jetted_at_c: float | None = None


@dataclass(frozen=True)
class Cause:
    """One possible cause; `rank_word` is "likely", "possible" or "less likely"."""

    id: str
    text: str
    probability: float
    rank_word: str


@dataclass(frozen=True)
class Check:
    """One check that tells causes apart; `cautions` are ids of cautions that stand with it, `tells`
    those of the facts that its result is."""

    id: str
    text: str
    minutes: int
    cautions: tuple[str, ...] = ()
    tells: tuple[str, ...] = ()


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
