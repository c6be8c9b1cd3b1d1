"""The summary in lines for the terminal."""

from collections.abc import Iterator, Mapping
from typing import Any

from tipvision.batch.store.grounds import WORDS
from tipvision.batch.store.ledger import CHANGED
from tipvision.batch.telling.aside_words import aside_words
from tipvision.batch.telling.odd_plugs import odd_sentence
from tipvision.batch.telling.progress import duration

MOST_MACHINES = 12
MOST_SETS = 12
MOST_NAMED = 12
MOST_FAULTS = 5


def summary_lines(summary: Mapping[str, Any]) -> Iterator[str]:
    """What `summary.summary_of` counted, most telling first; long lists are cut and say so."""
    states = _counted({name: count for name, count in summary["states"].items() if count})
    yield f"photos: {summary['photos']:,}" + (f" ({states})" if states else "")
    conditions = _counted(summary["conditions"])
    yield f"plugs that were read{f', by condition: {conditions}' if conditions else ': 0'}"
    forbidding = summary["do_not_start"]
    yield from (
        f"do not start or crank its engine: {name}" for name in forbidding["photos"][:MOST_NAMED]
    )
    if (more := forbidding["count"] - MOST_NAMED) > 0:
        yield f"  and {more:,} more that must not be started: see sheet.html"
    yield from _cut(
        [f"  {name}: {_machine(one)}" for name, one in summary["machines"].items()],
        MOST_MACHINES,
        "machines",
    )
    yield from _cut(
        [odd_sentence(one) for one in summary["odd_plugs"]], MOST_SETS, "uneven sets of plugs"
    )
    told = [f"unreadable: {one['photo']}: {one['fault']}" for one in summary["unreadable"]]
    yield from told[:MOST_FAULTS]
    if (more := summary["states"].get("unreadable", 0) - MOST_FAULTS) > 0:
        yield f"  and {more:,} more unreadable photos: see sheet.html"
    yield from _run(summary["run"])
    yield from aside_words(summary, MOST_FAULTS)


def _run(run: Mapping[str, Any]) -> Iterator[str]:
    took = f"in {duration(run['seconds'])}, {run['photos_a_second']:.1f} a second"
    yield f"read now: {run['read']:,} {took}; stood from before: {run['stood']:,}"
    if run["read_again"]:
        words = {**WORDS, CHANGED: "changed since"}
        again = ", ".join(f"{count:,} {words[why]}" for why, count in run["read_again"].items())
        yield f"  of these read again: {sum(run['read_again'].values()):,} ({again})"


def _machine(machine: Mapping[str, Mapping[str, int]]) -> str:
    photos = sum(machine["states"].values())
    conditions = _counted(machine["conditions"])
    return f"{photos:,} photos" + (f"; {conditions}" if conditions else "")


def _counted(counts: Mapping[str, int]) -> str:
    """Counts of states or conditions, in words."""
    words = {"skipped": "not read yet", "none": "no condition"}
    return ", ".join(
        f"{count:,} {words.get(code, code.replace('_', ' '))}" for code, count in counts.items()
    )


def _cut(lines: list[str], most: int, what: str) -> Iterator[str]:
    yield from lines[:most]
    if len(lines) > most:
        yield f"  and {len(lines) - most:,} more {what}: see summary.json"
