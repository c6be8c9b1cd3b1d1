"""A shop's own knowledge, laid over what ships."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from tipvision.causes.entries import Entry, read_entries
from tipvision.causes.fault import KnowledgeError, KnowledgeFile
from tipvision.causes.knowledge import (
    WITH_NUMBERS,
    knowledge_of,
    read_tables,
    shipped_folder,
    shipped_knowledge,
)
from tipvision.causes.known import (
    ENGINE_WORDS,
    NEEDS,
    PLUG_WORDS,
    Knowledge,
    KnownAdvice,
    KnownCheck,
)
from tipvision.home import home

FILE = "knowledge.toml"  # in the shop's folder
TABLES = ("fact", "finding", "cause", "check", "advice", "caution")


def knowledge() -> Knowledge:
    """What ships, under the shop's own file where there is one.

    Raises KnowledgeError for a file that is wrong, and where it would make the tool bolder.
    """
    path = home() / FILE
    return _overlaid(path, path.stat().st_mtime_ns) if path.is_file() else shipped_knowledge()


@cache
def _overlaid(path: Path, _changed: int) -> Knowledge:
    file = KnowledgeFile(path, str(path), "Correct the file.")
    own = read_entries(file, TABLES, WITH_NUMBERS)
    merged: dict[str, Mapping[str, Entry]] = dict(read_tables(shipped_folder()))
    for table, entries in own.items():
        merged[table] = {**merged[table], **entries}
    laid, shipped = knowledge_of(merged), shipped_knowledge()
    for id_ in own.get("caution", {}):
        if id_ in shipped.cautions:
            raise KnowledgeError(file, id_, "a caution that ships stays: give yours another id")
    for mine, theirs in ((laid.checks, shipped.checks), (laid.advice, shipped.advice)):
        for id_, entry in theirs.items():
            if fault := _bolder(mine[id_], entry):
                raise KnowledgeError(file, id_, fault)
    for id_, fact in shipped.facts.items():
        own_fact = laid.facts[id_]
        pairs = (
            (fact.plug, own_fact.plug, PLUG_WORDS),
            (fact.engine, own_fact.engine, ENGINE_WORDS),
        )
        for words, given, scale in pairs:
            for result, word in words.items():
                if result not in given or scale.index(given[result]) < scale.index(word):
                    raise KnowledgeError(file, id_, f"{result} must say {word!r} at least")
    return laid


def _bolder(mine: KnownCheck | KnownAdvice, shipped: KnownCheck | KnownAdvice) -> str | None:
    """How an entry asks for less care than the one that it replaces."""
    if missing := set(shipped.cautions) - set(mine.cautions):
        return f"`cautions` leaves out {min(missing)}"
    if NEEDS.index(mine.needs) < NEEDS.index(shipped.needs):
        return f"`needs` must be {shipped.needs!r} at least"
    return None
