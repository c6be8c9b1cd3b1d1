"""What a batch came to, in numbers that add up."""

import json
from collections import Counter
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tipvision import __version__
from tipvision.batch.sources.found import PassedOver
from tipvision.batch.store.entries import outlines
from tipvision.batch.store.entry import STATES
from tipvision.batch.store.store import Store
from tipvision.batch.telling.no_start import DO_NOT_START, no_start
from tipvision.batch.telling.odd_plugs import odd_plugs
from tipvision.batch.telling.tally import Tally
from tipvision.files import write_whole

SUMMARY_FILE = "summary.json"
SUMMARY_VERSION = 1
MOST_FAULTS = MOST_NAMED = 100


def summary_of(store: Store, tally: Tally, passed: PassedOver) -> dict[str, Any]:
    """Plain values: photos by state (they add up to `photos`), plugs that were read by condition,
    both for each machine as well, how many forbid to start the engine and the first `MOST_NAMED` of
    them, why the first `MOST_FAULTS` unreadable ones are, the odd plugs of engines, and how the run
    went."""
    states: Counter[str] = Counter()
    conditions: Counter[str] = Counter()
    machines: dict[str, dict[str, Any]] = {}
    unreadable: list[dict[str, str]] = []
    for outline in outlines(store):
        states[outline.state] += 1
        conditions.update(outline.answers)
        if outline.fault is not None and len(unreadable) < MOST_FAULTS:
            unreadable.append({"photo": outline.name, "fault": outline.fault})
        if outline.machine is not None:
            machine = machines.setdefault(
                outline.machine, {"states": Counter(), "conditions": Counter()}
            )
            machine["states"][outline.state] += 1
            machine["conditions"].update(outline.answers)
    forbidding = tuple(no_start(store))
    return {
        "summary": SUMMARY_VERSION,
        "made_with": f"tipvision {__version__}",
        "made_at": datetime.now(UTC).isoformat(timespec="seconds"),
        "complete": tally.complete,
        "photos": states.total(),
        "states": {state: states[state] for state in STATES},
        "conditions": dict(sorted(conditions.items())),
        "machines": {name: _plain(machines[name]) for name in sorted(machines)},
        DO_NOT_START: {"count": len(forbidding), "photos": list(forbidding[:MOST_NAMED])},
        "unreadable": unreadable,
        "odd_plugs": odd_plugs(store),
        "run": _run(tally, passed),
    }


def write_summary(out: Path, summary: Mapping[str, Any]) -> Path:
    """Write `SUMMARY_FILE`, whole or not at all."""
    path = out / SUMMARY_FILE
    write_whole(path, (json.dumps(summary, indent=1) + "\n").encode())
    return path


def _plain(machine: Mapping[str, Counter[str]]) -> dict[str, dict[str, int]]:
    return {key: dict(sorted(counts.items())) for key, counts in machine.items()}


def _run(tally: Tally, passed: PassedOver) -> dict[str, Any]:
    rate = tally.read / tally.seconds if tally.seconds > 0 else 0.0
    return {
        "listed": tally.listed,
        "stood": tally.listed - tally.to_read,
        "read": tally.read,
        "read_again": dict(sorted(tally.again.items())),
        "gone": tally.gone,
        "passed_over": dict(sorted(passed.files.items())),
        "not_listed": list(passed.folders),
        "seconds": round(tally.seconds, 2),
        "photos_a_second": round(rate, 2),
    }
