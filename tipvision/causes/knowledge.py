"""What the trade knows of causes, checks, advice, cautions and verdicts, read from TOML files.

Every entry carries its `source`. The files say what is true; how it is weighed is in `rank.py`,
`next_checks.py`, `verdict.py` and `explain.py`. What a shop lays over it is in `shop.py`.
"""

from collections.abc import Collection, Mapping
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

from tipvision.causes.entries import Entry, read_entries
from tipvision.causes.explanation import Verdict
from tipvision.causes.fault import KnowledgeError, KnowledgeFile
from tipvision.causes.known import (
    ALWAYS,
    COOLINGS,
    ENGINE_WORDS,
    FOUND,
    FUELS,
    NEEDS,
    PLUG_WORDS,
    SCOPES,
    SIGNS,
    STROKES,
    UNJUDGED,
    UNSETTLED,
    EngineKind,
    Knowledge,
    KnownAdvice,
    KnownCause,
    KnownCaution,
    KnownCheck,
    KnownFact,
    KnownFinding,
    KnownVerdict,
)
from tipvision.condition.condition import FINDINGS, LABELS

FILES = {
    "facts.toml": "fact",
    "findings.toml": "finding",
    "causes.toml": "cause",
    "cautions.toml": "caution",
    "checks.toml": "check",
    "advice.toml": "advice",
    "verdicts.toml": "verdict",
}
WITH_NUMBERS = ("fact", "finding", "cause", "check")

Tables = Mapping[str, Mapping[str, Entry]]  # by table, then by id


def _kind(entry: Entry) -> EngineKind:
    return EngineKind(
        entry.choice_or_none("stroke", STROKES),
        entry.choice_or_none("fuel", FUELS),
        entry.choice_or_none("cooling", COOLINGS),
    )


def _needs(entry: Entry) -> str:
    return entry.choice_or_none("needs", NEEDS) or "nothing"


def _fact(entry: Entry, causes: Collection[str]) -> KnownFact:
    text, kind, usual = entry.text("text"), _kind(entry), entry.all_shares("usual")
    leaves = entry.lists_of_ids("leaves", usual, causes, "cause")
    plug = entry.choices("plug", usual, PLUG_WORDS)
    engine = entry.choices("engine", usual, ENGINE_WORDS)
    fact = KnownFact(entry.id, text, kind, usual, leaves, plug, engine, entry.source())
    entry.finish()
    return fact


def _finding(entry: Entry) -> KnownFinding:
    if entry.id not in FINDINGS:
        raise entry.fault("is the id of no finding")
    usual = entry.share("usual")
    if not 0 < usual < 1:
        raise entry.fault(f"`usual` is {usual}, not between 0 and 1")
    finding = KnownFinding(entry.id, usual, entry.source())
    entry.finish()
    return finding


def _cause(entry: Entry, facts: Mapping[str, KnownFact]) -> KnownCause:
    kind = _kind(entry)
    common = entry.shares("share", LABELS, "condition")
    share: dict[str, Mapping[str, float]] = {}
    for stroke in STROKES:
        own = entry.shares(f"share_{stroke}", LABELS, "condition")
        if own and kind.stroke not in (None, stroke):
            raise entry.fault(f"`share_{stroke}` stands in a cause of {kind.stroke}-strokes")
        if twice := sorted(common.keys() & own.keys()):
            raise entry.fault(f"{twice[0]} stands in `share` and `share_{stroke}`")
        share[stroke] = common | own if kind.stroke in (None, stroke) else {}
    if not any(share.values()):
        raise entry.fault("`share` is missing or empty")
    told = entry.filled_shares("facts", {id_: fact.usual for id_, fact in facts.items()}, "fact")
    for id_ in told:
        if not facts[id_].kind.meets(kind):
            raise entry.fault(f"`facts.{id_}` is of another kind of engine")
    cause = KnownCause(
        id=entry.id,
        text=entry.text("text"),
        kind=kind,
        share=share,
        findings=entry.shares("findings", FINDINGS, "finding"),
        facts=told,
        scope=entry.choice_or_none("scope", SCOPES),
        fault=entry.flag("fault", default=True),
        source=entry.source(),
    )
    entry.finish()
    return cause


def _check(
    entry: Entry,
    facts: Mapping[str, KnownFact],
    checks: Collection[str],
    cautions: Collection[str],
) -> KnownCheck:
    check = KnownCheck(
        id=entry.id,
        text=entry.text("text"),
        kind=_kind(entry),
        minutes=entry.minutes(),
        needs=_needs(entry),
        looks_for_danger=entry.flag("looks_for_danger", default=False),
        tells=entry.ids("tells", facts, "fact"),
        after=entry.choice_or_none("after", checks),
        cautions=entry.ids("cautions", cautions, "caution"),
        source=entry.source(),
    )
    if not check.tells:
        raise entry.fault("`tells` names no fact")
    for id_ in check.tells:
        if not facts[id_].kind.covers(check.kind):
            raise entry.fault(f"{id_} is not a fact of every engine that the check is for")
    entry.finish()
    return check


def _advice(entry: Entry, facts: Mapping[str, KnownFact], cautions: Collection[str]) -> KnownAdvice:
    advice = KnownAdvice(
        id=entry.id,
        text=entry.text("text"),
        kind=_kind(entry),
        applies=entry.ids("applies", (*SIGNS, UNSETTLED, UNJUDGED, FOUND), "condition or finding"),
        told=entry.some_of("told", {id_: fact.usual for id_, fact in facts.items()}, "fact"),
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
        applies=entry.ids("applies", (*SIGNS, *ENGINE_WORDS, ALWAYS), "condition or finding"),
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


def read_tables(folder: Traversable) -> Tables:
    """The entries of the seven files of a folder; each holds its own table and nothing else."""
    tables: dict[str, Mapping[str, Entry]] = {}
    for name, table in FILES.items():
        numbers = [table] if table in WITH_NUMBERS else []
        tables |= read_entries(KnowledgeFile(folder.joinpath(name), name), [table], numbers)
    return tables


def knowledge_of(tables: Tables) -> Knowledge:
    """The entries checked, against each other as well.

    Raises KnowledgeError, with file, entry and fault, for an unknown id, condition, finding, result
    or field, an id that stands twice, a missing or unlisted source, a number out of range, or a
    condition or finding without a verdict.
    """
    facts = {id_: _fact(entry, tables["cause"]) for id_, entry in tables["fact"].items()}
    findings = {id_: _finding(entry) for id_, entry in tables["finding"].items()}
    causes = {id_: _cause(entry, facts) for id_, entry in tables["cause"].items()}
    cautions = {id_: _caution(entry) for id_, entry in tables["caution"].items()}
    checks = {
        id_: _check(entry, facts, tables["check"], cautions)
        for id_, entry in tables["check"].items()
    }
    advice = {id_: _advice(entry, facts, cautions) for id_, entry in tables["advice"].items()}
    verdicts = {id_: _verdict(entry) for id_, entry in tables["verdict"].items()}
    for file, known, needed in (
        ("findings.toml", findings, FINDINGS),
        ("verdicts.toml", verdicts, SIGNS),
    ):
        for sign in needed:
            if sign not in known:
                raise KnowledgeError(_shipped_file(file), sign, "has no entry")
    return Knowledge(facts, findings, causes, checks, advice, cautions, verdicts)


def load_knowledge(folder: Traversable) -> Knowledge:
    """Read and check the files of a folder; raises KnowledgeError as `knowledge_of` does, and for a
    file that cannot be read."""
    return knowledge_of(read_tables(folder))


def shipped_folder() -> Traversable:
    return resources.files("tipvision.causes").joinpath("knowledge")


def _shipped_file(name: str) -> KnowledgeFile:
    return KnowledgeFile(shipped_folder().joinpath(name), name)


@cache
def shipped_knowledge() -> Knowledge:
    """The knowledge that comes with the package, read once."""
    return load_knowledge(shipped_folder())
