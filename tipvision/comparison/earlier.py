"""Earlier readings of a plug, from a folder of records and of reports written as JSON."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tipvision.record.check import faults_of
from tipvision.record.reading import Reading

REPORT_KEY = "plugs"  # what a report written as JSON has and a record has not
MOST_FILES = 2000


@dataclass(frozen=True)
class Earlier:
    """One earlier reading that was measured.

    taken:     when its photo was taken, "YYYY:MM:DD HH:MM:SS"; None where it is not known.
    lab, sd:   L*, a*, b* of the nose (CIELAB, D65, 2° observer), and their standard deviations.
    condition: as in the record, None where the photo did not settle it.
    """

    taken: str | None
    lab: tuple[float, ...]
    sd: tuple[float, ...]
    condition: str | None


@dataclass(frozen=True)
class EarlierReadings:
    """found: oldest first; those without a time come first, in the order of the files' names.
    skipped: files and lines that are no valid record, as "name: fault"."""

    found: tuple[Earlier, ...]
    skipped: tuple[str, ...]


def earlier_readings(folder: Path, label: str | None) -> EarlierReadings:
    """Every measured reading in the `*.json` and `*.jsonl` files of a folder, not of folders in it.

    label: of reports on several plugs, only the plug that was called so counts; None takes those
           on one plug alone.
    Raises ValueError for a folder that is none, or holds more than `MOST_FILES` files.
    """
    if not folder.is_dir():
        raise ValueError(f"{folder} is no folder. Give one with earlier records.")
    files = sorted(p for p in folder.iterdir() if p.suffix in (".json", ".jsonl") and p.is_file())
    if len(files) > MOST_FILES:
        raise ValueError(f"{folder} holds over {MOST_FILES} files of records. Give a smaller one.")
    found: list[Earlier] = []
    skipped: list[str] = []
    for path in files:
        for taken, record, fault in _records(path, label):
            faults = [fault] if fault else faults_of(record)
            if faults:
                skipped.append(f"{path.name}: {faults[0]}")
            elif record["colour"] is not None:
                found.append(_earlier(taken, record))
    found.sort(key=lambda one: one.taken or "")  # stable: those without a time keep their order
    return EarlierReadings(tuple(found), tuple(skipped))


def earlier_of(reading: Reading, taken: str | None) -> Earlier | None:
    """A reading as it will be looked back on; None for one that was not measured."""
    if reading.measurement is None:
        return None
    settled = reading.condition.label if reading.outcome == "read" and reading.condition else None
    lab, sd = reading.measurement.lab, reading.measurement.sd
    return Earlier(taken, tuple(map(float, lab)), tuple(map(float, sd)), settled)


def _records(path: Path, label: str | None) -> Iterator[tuple[str | None, Any, str]]:
    """(time, record, fault) of each record in a file."""
    try:
        text = path.read_text("utf-8-sig")
        parsed = [json.loads(text)] if path.suffix == ".json" else None
        lines = [line for line in text.split("\n") if line.strip()] if parsed is None else []
    except (OSError, ValueError, RecursionError) as error:
        yield None, None, f"not JSON ({type(error).__name__})"
        return
    for data in parsed or ():
        if isinstance(data, dict) and isinstance(data.get(REPORT_KEY), list):
            yield from _of_report(data[REPORT_KEY], label)
        else:
            yield None, data, "" if isinstance(data, dict) else "no record"
    for line in lines:
        try:
            data = json.loads(line)
        except (ValueError, RecursionError):
            yield None, None, "a line is not JSON"
            continue
        yield None, data, "" if isinstance(data, dict) else "no record"


def _of_report(plugs: list[Any], label: str | None) -> Iterator[tuple[str | None, Any, str]]:
    for plug in plugs:
        if not isinstance(plug, dict) or not isinstance(plug.get("record"), dict):
            yield None, None, "no report of this tool"
        elif plug.get("label") == label or (label is None and len(plugs) == 1):
            taken = plug.get("taken")
            yield (taken if isinstance(taken, str) else None), plug["record"], ""


def _earlier(taken: str | None, record: Mapping[str, Any]) -> Earlier:
    colour = record["colour"]
    settled = record["condition"] if record["outcome"] == "read" else None
    lab, sd = (tuple(map(float, colour[key])) for key in ("lab", "sd"))
    return Earlier(taken, lab, sd, settled)
