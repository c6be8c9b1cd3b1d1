"""What the trade knows of causes, checks, advice, cautions and verdicts, read from TOML files.

Every entry carries its `source`. The files say what is true; how it is weighed is in `rank.py`,
`verdict.py` and `explain.py`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

from tipvision.causes.entries import Entry, KnowledgeError, read_entries
from tipvision.causes.explanation import Engine, Verdict
from tipvision.condition.condition import CONDITIONS, FINDINGS

STROKES = ("two", "four")
FUELS = ("carburettor", "injection")
SIGNS = (*CONDITIONS, *FINDINGS)
NEEDS = ("nothing", "cranking", "running", "load")  # each includes those before it
PLUG_WORDS = ("refit", "clean", "check", "replace")  # the more cautious, the later
ENGINE_WORDS = ("run", "check", "not_under_load", "do_not_start")
ALWAYS, UNSETTLED, UNJUDGED = "always", "unsettled", "unjudged"


@dataclass(frozen=True)
class EngineKind:
    """The engines that something is for; None is "any"."""

    stroke: str | None = None
    fuel: str | None = None

    def fits(self, engine: Engine) -> bool:
        """Whether it can be this engine, as far as the engine is known."""
        return all(
            mine is None or theirs is None or mine == theirs
            for mine, theirs in ((self.stroke, engine.stroke), (self.fuel, engine.fuel))
        )


@dataclass(frozen=True)
class KnownCause:
    """likelihood: by stroke, then by condition or finding: the share, 0 to 1, of the cylinders with
    that sign in which this is the main cause."""

    id: str
    text: str
    kind: EngineKind
    likelihood: Mapping[str, Mapping[str, float]]
    source: str


@dataclass(frozen=True)
class KnownCheck:
    id: str
    text: str
    kind: EngineKind
    minutes: int
    needs: str
    looks_for_danger: bool
    separates: tuple[str, ...]
    cautions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class KnownAdvice:
    id: str
    text: str
    kind: EngineKind
    applies: tuple[str, ...]
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


@dataclass(frozen=True)
class Knowledge:
    """Everything by id, in the order of the files; verdicts by condition or finding."""

    causes: Mapping[str, KnownCause]
    checks: Mapping[str, KnownCheck]
    advice: Mapping[str, KnownAdvice]
    cautions: Mapping[str, KnownCaution]
    verdicts: Mapping[str, KnownVerdict]


def _kind(entry: Entry) -> EngineKind:
    return EngineKind(entry.choice_or_none("stroke", STROKES), entry.choice_or_none("fuel", FUELS))


def _needs(entry: Entry) -> str:
    return entry.choice_or_none("needs", NEEDS) or "nothing"


def _cause(entry: Entry) -> KnownCause:
    kind = _kind(entry)
    common = entry.shares("likelihood", SIGNS)
    likelihood: dict[str, Mapping[str, float]] = {}
    for stroke in STROKES:
        own = entry.shares(f"likelihood_{stroke}", SIGNS)
        if own and kind.stroke not in (None, stroke):
            raise entry.fault(f"`likelihood_{stroke}` stands in a cause of {kind.stroke}-strokes")
        if twice := sorted(common.keys() & own.keys()):
            raise entry.fault(f"{twice[0]} stands in `likelihood` and `likelihood_{stroke}`")
        likelihood[stroke] = common | own if kind.stroke in (None, stroke) else {}
    if not any(likelihood.values()):
        raise entry.fault("`likelihood` is missing or empty")
    cause = KnownCause(entry.id, entry.text("text"), kind, likelihood, entry.source())
    entry.finish()
    return cause


def _check(
    entry: Entry, causes: Mapping[str, object], cautions: Mapping[str, object]
) -> KnownCheck:
    check = KnownCheck(
        id=entry.id,
        text=entry.text("text"),
        kind=_kind(entry),
        minutes=entry.minutes(),
        needs=_needs(entry),
        looks_for_danger=entry.flag("looks_for_danger"),
        separates=entry.ids("separates", causes, "cause"),
        cautions=entry.ids("cautions", cautions, "caution"),
        source=entry.source(),
    )
    if not check.separates:
        raise entry.fault("`separates` names no cause")
    entry.finish()
    return check


def _advice(entry: Entry, cautions: Mapping[str, object]) -> KnownAdvice:
    advice = KnownAdvice(
        id=entry.id,
        text=entry.text("text"),
        kind=_kind(entry),
        applies=entry.ids("applies", (*SIGNS, UNSETTLED, UNJUDGED), "condition or finding"),
        plug=entry.choice_or_none("plug", PLUG_WORDS),
        needs=_needs(entry),
        cautions=entry.ids("cautions", cautions, "caution"),
        source=entry.source(),
    )
    if not advice.applies:
        raise entry.fault("`applies` names nothing")
    entry.finish()
    return advice


def _caution(entry: Entry) -> KnownCaution:
    caution = KnownCaution(
        id=entry.id,
        text=entry.text("text"),
        kind=_kind(entry),
        applies=entry.ids("applies", (*SIGNS, ALWAYS), "condition or finding"),
        source=entry.source(),
    )
    entry.finish()
    return caution


def _verdict(entry: Entry) -> KnownVerdict:
    if entry.id not in SIGNS:
        raise entry.fault("is the id of no condition or finding")
    verdict = Verdict(entry.choice("plug", PLUG_WORDS), entry.choice("engine", ENGINE_WORDS))
    known = KnownVerdict(verdict, entry.source())
    entry.finish()
    return known


def load_knowledge(folder: Traversable) -> Knowledge:
    """Read and check the five files of a folder.

    Raises KnowledgeError, with file, entry and fault, for a file that cannot be read, an unknown
    id, condition, finding or field, an id that stands twice, a missing or unlisted source, a number
    out of range, or a condition or finding without a verdict.
    """
    causes = {
        entry.id: _cause(entry)
        for entry in read_entries(folder, "causes.toml", "cause", "source_of_likelihoods")
    }
    cautions = {
        entry.id: _caution(entry) for entry in read_entries(folder, "cautions.toml", "caution")
    }
    checks = {
        entry.id: _check(entry, causes, cautions)
        for entry in read_entries(folder, "checks.toml", "check", "source_of_minutes")
    }
    advice = {
        entry.id: _advice(entry, cautions)
        for entry in read_entries(folder, "advice.toml", "advice")
    }
    verdicts = {
        entry.id: _verdict(entry) for entry in read_entries(folder, "verdicts.toml", "verdict")
    }
    for sign in SIGNS:
        if sign not in verdicts:
            raise KnowledgeError("verdicts.toml", sign, "has no verdict")
    return Knowledge(causes, checks, advice, cautions, verdicts)


@cache
def shipped_knowledge() -> Knowledge:
    """The knowledge that comes with the package, read once."""
    return load_knowledge(resources.files("tipvision.causes").joinpath("knowledge"))
