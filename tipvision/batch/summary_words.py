"""The summary in lines for the terminal."""

from collections.abc import Iterator, Mapping
from typing import Any

from tipvision.batch.grounds import WORDS
from tipvision.batch.progress import duration

MOST_MACHINES = 12
MOST_SETS = 12
MOST_FAULTS = 5


def summary_lines(summary: Mapping[str, Any]) -> Iterator[str]:
    """What `summary.summary_of` counted, most telling first; long lists are cut and say so."""
    states = ", ".join(f"{count:,} {state}" for state, count in summary["states"].items() if count)
    yield f"photos: {summary['photos']:,}" + (f" ({states})" if states else "")
    yield f"plugs that were read, by condition: {_counted(summary['conditions']) or 'none'}"
    yield from _cut(
        [f"  {name}: {_machine(one)}" for name, one in summary["machines"].items()],
        MOST_MACHINES,
        "machines",
    )
    yield from _cut(
        [line for one in summary["odd_plugs"] for line in _odd(one)], MOST_SETS, "sets of plugs"
    )
    yield from _cut(
        [f"unreadable: {one['photo']}: {one['fault']}" for one in summary["unreadable"]],
        MOST_FAULTS,
        "unreadable photos",
    )
    yield from _run(summary["run"])


def _run(run: Mapping[str, Any]) -> Iterator[str]:
    took = f"in {duration(run['seconds'])}, {run['photos_a_second']:.1f} a second"
    yield f"read now: {run['read']:,} {took}; stood from before: {run['stood']:,}"
    if run["read_again"]:
        words = {**WORDS, "changed": "changed since"}
        again = ", ".join(f"{count:,} {words[why]}" for why, count in run["read_again"].items())
        yield f"  of these read again: {sum(run['read_again'].values()):,} ({again})"
    if run["gone"]:
        yield f"gone since the last run: {run['gone']:,}; their readings are kept, not counted"
    if run["passed_over"]:
        count = sum(run["passed_over"].values())
        yield f"passed over, no photos by their names: {count:,} ({_counted(run['passed_over'])})"
    yield from _cut(
        [f"could not be listed: {line}" for line in run["not_listed"]], MOST_FAULTS, "folders"
    )


def _machine(machine: Mapping[str, Mapping[str, int]]) -> str:
    photos = sum(machine["states"].values())
    conditions = _counted(machine["conditions"])
    return f"{photos:,} photos" + (f"; {conditions}" if conditions else "")


def _odd(found: Mapping[str, Any]) -> Iterator[str]:
    where = f"{found['machine']} ({found['folder']})" if found["folder"] else found["machine"]
    for plug in found["odd"]:
        yield f"apart from the others of {where}: cylinder {plug['cylinder']}, by " + " and ".join(
            plug["by"]
        )
    if found["uneven"] and not found["odd"]:
        cylinders = ", ".join(found["photos"])
        yield f"differ by more than chance, of {where}: cylinders {cylinders}"


def _counted(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{count:,} {name}" for name, count in counts.items())


def _cut(lines: list[str], most: int, what: str) -> Iterator[str]:
    yield from lines[:most]
    if len(lines) > most:
        yield f"  and {len(lines) - most:,} more {what}: see summary.json"
