"""What one entry of the knowledge holds, by kind."""

from collections.abc import Mapping
from dataclasses import dataclass

from tipvision.causes.explanation import Engine, Verdict
from tipvision.condition.condition import CONDITIONS, FINDINGS

STROKES = ("two", "four")
FUELS = ("carburettor", "injection")
CYLINDER, ENGINE = SCOPES = ("cylinder", "engine")
SIGNS = (*CONDITIONS, *FINDINGS)
NEEDS = ("nothing", "cranking", "running", "load")  # each includes those before it
PLUG_WORDS = ("refit", "clean", "check", "replace")  # the more cautious, the later
ENGINE_WORDS = ("run", "check", "not_under_load", "do_not_start")
COOLINGS = ("air", "liquid")
ALWAYS, UNSETTLED, UNJUDGED, FOUND = "always", "unsettled", "unjudged", "found"


@dataclass(frozen=True)
class EngineKind:
    """The engines that something is for; None is "any"."""

    stroke: str | None = None
    fuel: str | None = None
    cooling: str | None = None

    def fits(self, engine: Engine) -> bool:
        """Whether it can be this engine, as far as the engine is known."""
        return (
            (self.stroke is None or engine.stroke in (None, self.stroke))
            and (self.fuel is None or engine.fuel in (None, self.fuel))
            and (self.cooling is None or engine.cooling in (None, self.cooling))
        )

    def covers(self, other: "EngineKind") -> bool:
        """Whether every engine of the other kind is of this kind as well."""
        return (
            self.stroke in (None, other.stroke)
            and self.fuel in (None, other.fuel)
            and self.cooling in (None, other.cooling)
        )

    def meets(self, other: "EngineKind") -> bool:
        """Whether some engine is of both kinds."""
        return self.fits(Engine(other.stroke, other.fuel, cooling=other.cooling))


@dataclass(frozen=True)
class KnownFact:
    """usual: by result, its share, 0 to 1, where the cause has nothing to do with it; sums to 1.
    leaves: by result, the only causes that it leaves possible, where it does not leave all.
    plug, engine: by result, the word that it puts into the verdict, where it says one.
    """

    id: str
    text: str
    kind: EngineKind
    usual: Mapping[str, float]
    leaves: Mapping[str, tuple[str, ...]]
    plug: Mapping[str, str]
    engine: Mapping[str, str]
    source: str


@dataclass(frozen=True)
class KnownFinding:
    """usual: the share of plugs, 0 to 1, that show it where the cause has nothing to do with it."""

    id: str
    usual: float
    source: str


@dataclass(frozen=True)
class KnownCause:
    """share:    by stroke, then by condition or "none": the share, 0 to 1, of the plugs of that
                 condition in which this is the main cause.
    findings: by finding, the share of the plugs with this cause that show it.
    facts:    by fact, then by result, the share of the engines with this cause that have it; sums
              to 1 over the results.
    scope:    `CYLINDER` where it belongs to one cylinder, `ENGINE` where all of an engine's share
              it, None where it can be either.
    fault:    False where it says that nothing is wrong.
    """

    id: str
    text: str
    kind: EngineKind
    share: Mapping[str, Mapping[str, float]]
    findings: Mapping[str, float]
    facts: Mapping[str, Mapping[str, float]]
    scope: str | None
    fault: bool
    source: str


@dataclass(frozen=True)
class KnownCheck:
    """tells: the facts that its result is. after: a check whose result must be known first."""

    id: str
    text: str
    kind: EngineKind
    minutes: int
    needs: str
    looks_for_danger: bool
    tells: tuple[str, ...]
    after: str | None
    cautions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class KnownAdvice:
    id: str
    text: str
    kind: EngineKind
    applies: tuple[str, ...]
    told: Mapping[str, tuple[str, ...]]  # by fact, results; shown only where one of each was told
    plug: str | None  # shown only where the verdict on the plug is this word
    needs: str
    cautions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class KnownCaution:
    id: str
    text: str
    kind: EngineKind
    applies: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class KnownVerdict:
    verdict: Verdict
    source: str


@dataclass(frozen=True, eq=False)
class Knowledge:
    """Everything by id, in the order of the files; verdicts by condition or finding.

    It is hashed as the object that it is, so that what follows from it alone can be kept.
    """

    facts: Mapping[str, KnownFact]
    findings: Mapping[str, KnownFinding]
    causes: Mapping[str, KnownCause]
    checks: Mapping[str, KnownCheck]
    advice: Mapping[str, KnownAdvice]
    cautions: Mapping[str, KnownCaution]
    verdicts: Mapping[str, KnownVerdict]
