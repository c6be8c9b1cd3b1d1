"""Which plugs stand apart from the others of their engine, over a whole batch."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from tipvision.batch.store.comparable import unpacked
from tipvision.batch.store.store import Store, as_name
from tipvision.comparison.odd_one import Comparison, compare
from tipvision.report.words import listed
from tipvision.report.wrap import printable

Plugs = Mapping[int, tuple[str, str]]  # (name, digest) by cylinder


def odd_plugs(store: Store) -> list[dict[str, Any]]:
    """Sets of plugs that differ by more than chance, as plain values.

    A set is what one folder holds of one machine, with its cylinders told apart; where a cylinder
    was photographed more than once, the last photo by name counts, since names mostly carry dates.
    A photo that stands for two cylinders counts for neither: nothing tells which of them it shows.
    How plugs are compared, and how often an even set is called uneven, is said in
    `comparison.odd_one`.
    """
    found = []
    for machine, folder, plugs in _sets(store):
        held = (_compared(store, digest) for _, digest in plugs.values())
        comparison = compare([unpacked(one) for one in held])
        if comparison.odd or comparison.uneven:
            photos = {str(cylinder): name for cylinder, (name, _) in plugs.items()}
            odd = _odd(comparison, list(plugs))
            found.append({"machine": machine, "folder": folder, "photos": photos, **odd})
    return found


def odd_sentence(one: Mapping[str, Any]) -> str:
    """What `odd_plugs` tells of a set, in words."""
    where = printable(one["machine"])
    if one["folder"] not in ("", one["machine"]):
        where += f" ({printable(one['folder'])})"
    if not one["odd"]:
        return f"{where}: its plugs differ, but not one against the rest."
    odd = [f"cylinder {plug['cylinder']} by {listed(plug['by'])}" for plug in one["odd"]]
    return f"{where}: {listed(odd)} {'stands' if len(odd) == 1 else 'stand'} apart."


def _odd(comparison: Comparison, cylinders: list[int]) -> dict[str, Any]:
    by_colour = {apart.plug for apart in comparison.by_colour}
    signs = {"colour": by_colour, "condition": set(comparison.by_condition)}
    odd = [
        {"cylinder": cylinders[plug], "by": [sign for sign in signs if plug in signs[sign]]}
        for plug in comparison.odd
    ]
    return {"odd": odd, "uneven": comparison.uneven}


def _sets(store: Store) -> Iterator[tuple[str, str, Plugs]]:
    """(machine, folder, plugs) of two or more cylinders, in order."""
    rows = store.connection.execute(
        "SELECT p.machine, p.cylinder, p.name, p.digest FROM photos p CROSS JOIN runs "
        "JOIN readings r ON r.digest = p.digest AND r.grounds = runs.grounds "
        "WHERE p.run >= runs.shown AND p.machine IS NOT NULL AND p.cylinder IS NOT NULL "
        "AND r.compared IS NOT NULL ORDER BY p.machine, p.name"
    )
    for machine, photos in groupby(rows, key=lambda row: row[0]):
        by_folder: dict[str, list[tuple[int, str, str]]] = {}
        for _, cylinder, key, digest in photos:
            name = as_name(key)
            by_folder.setdefault(name.rpartition("/")[0], []).append((cylinder, name, digest))
        for folder in sorted(by_folder):
            plugs = _plugs_of(by_folder[folder])
            if len(plugs) > 1:
                yield machine, folder, plugs


def _plugs_of(photos: Sequence[tuple[int, str, str]]) -> Plugs:
    """The last photo of each cylinder, of (cylinder, name, digest) by name; one that stands for
    several cylinders is left out."""
    stands_for: dict[str, set[int]] = {}
    for cylinder, _, digest in photos:
        stands_for.setdefault(digest, set()).add(cylinder)
    own = {c: (name, digest) for c, name, digest in photos if len(stands_for[digest]) == 1}
    return dict(sorted(own.items()))


def _compared(store: Store, digest: str) -> bytes:
    row = store.connection.execute("SELECT compared FROM readings WHERE digest = ?", (digest,))
    held: bytes = row.fetchone()[0]
    return held
