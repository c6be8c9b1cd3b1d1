"""What a store holds, photo by photo, in the order of listing."""

import json
from collections.abc import Iterator
from dataclasses import dataclass

from tipvision.batch.store.entry import Entry
from tipvision.batch.store.store import Store, as_name

DUPLICATE, SKIPPED, UNREADABLE = "duplicate", "skipped", "unreadable"

# In the order of sources, within a folder by name. A photo is a duplicate of the first that has its
# content, whichever of them was read: so no reading depends on which worker was quicker.
_FROM = """
FROM photos p CROSS JOIN runs LEFT JOIN readings r
    ON r.digest = p.digest AND r.grounds = runs.grounds AND p.fault IS NULL
WHERE p.run >= runs.shown ORDER BY p.place, p.name
"""
_FIRST = """
(SELECT q.name FROM photos q WHERE q.digest = p.digest AND q.run >= runs.shown
ORDER BY q.place, q.name LIMIT 1)
"""


@dataclass(frozen=True)
class Outline:
    """The part of an entry that is counted.

    answers: the condition of each plug that was read. fault: why it is unreadable, else None.
    """

    name: str
    state: str
    machine: str | None
    answers: tuple[str, ...]
    fault: str | None


def entries(store: Store) -> Iterator[Entry]:
    """Every photo that the latest run knows of, one in memory at a time.

    In the order of the sources or the lines of a list, within a folder by name. A photo whose
    reading is still to be made is "skipped".
    """
    rows = store.connection.execute(
        "SELECT p.name, p.machine, p.cylinder, p.digest, p.fault, "
        f"{_FIRST}, r.state, r.records, r.thumbnail, r.seconds {_FROM}"
    )
    for key, machine, cylinder, digest, fault, first, kept_as, records, thumbnail, seconds in rows:
        state = _state(key, fault, first, kept_as)
        name, is_read = as_name(key), state == kept_as
        held = fault or (records if is_read else None) or "[]"
        yield Entry(
            name=name,
            state=state,
            records=tuple(_named(record, name) for record in json.loads(held)),
            same_as=as_name(first) if state == DUPLICATE else None,
            digest=digest or "",
            machine=machine,
            cylinder=cylinder,
            thumbnail=thumbnail,
            seconds=seconds if is_read else 0.0,
        )


def outlines(store: Store) -> Iterator[Outline]:
    """As `entries`, of each photo only what is counted."""
    rows = store.connection.execute(
        f"SELECT p.name, p.machine, p.fault, {_FIRST}, r.state, r.answers, "
        f"CASE r.state WHEN '{UNREADABLE}' THEN r.records END {_FROM}"
    )
    for key, machine, fault, first, kept_as, answers, records in rows:
        state = _state(key, fault, first, kept_as)
        told = tuple(json.loads(answers)) if state == kept_as else ()
        why = _told(fault or records) if state == UNREADABLE else None
        yield Outline(as_name(key), state, machine, told, why)


def _state(key: bytes, fault: str | None, first: bytes | None, kept_as: str | None) -> str:
    if fault is not None:
        return UNREADABLE
    if kept_as is None:
        return SKIPPED
    return kept_as if first == key else DUPLICATE


def _told(records: str) -> str:
    """The sentence of the one record of an unreadable photo."""
    return str(json.loads(records)[0]["reasons"][0]["text"])


def _named(record: dict[str, object], name: str) -> dict[str, object]:
    """The record under the name of the photo that it stands for: a copy of it may have been
    read."""
    photos = None if record["photos"] is None else [name]
    return {**record, "photo": name, "photos": photos}
