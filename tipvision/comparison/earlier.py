"""Earlier readings of a plug, from a folder of records and of reports written as JSON."""

import json
import ntpath
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tipvision.comparison.labels import cylinder_of, plug_name, without_cylinder
from tipvision.record.as_json import hundredths
from tipvision.record.check import faults_of
from tipvision.record.reading import Reading

REPORT_KEY = "plugs"  # what a report written as JSON has and a record has not
MOST_FILES = 2000


@dataclass(frozen=True)
class Whose:
    """What tells which plug a reading is of; None where nothing does.

    machine: its engine's name. label: what the plug is called in its engine, such as "cylinder 2".
    name:    what the photo's name says of the plug, as `labels.plug_name` has it.
    """

    machine: str | None = None
    label: str | None = None
    name: str = ""

    def is_of(self, other: "Whose") -> bool:
        """Whether nothing parts the two: machine and label where both tell them, else the name."""
        if self.machine and other.machine:
            if self.machine.casefold() != other.machine.casefold():
                return False
            if self.label == other.label:
                return True
        if self.label and other.label:
            of_one_machine = without_cylinder(self.name) == without_cylinder(other.name)
            return self.label == other.label and of_one_machine
        return self.name == other.name

    @property
    def words(self) -> str:
        return " ".join(filter(None, [self.machine, self.label])) or self.name or "no name"


@dataclass(frozen=True)
class Earlier:
    """One earlier reading that was measured.

    taken:     when its photo was taken, "YYYY:MM:DD HH:MM:SS"; None where it is not known.
    lab, sd:   L*, a*, b* of the nose (CIELAB, D65, 2° observer), and their standard deviations, as
               rounded in the record.
    condition: as in the record, None where the photo did not settle it.
    photo:     base name.
    """

    taken: str | None
    lab: tuple[float, ...]
    sd: tuple[float, ...]
    condition: str | None
    photo: str = ""
    whose: Whose = Whose()

    def shows_the_photo_of(self, other: "Earlier") -> bool:
        """Whether both are readings of one photo."""
        together = self.lab == other.lab or (self.taken is not None and self.taken == other.taken)
        return together and self.photo == other.photo


@dataclass(frozen=True)
class EarlierReadings:
    """found: oldest first; those without a time come first, in the order of the files' names.
    others: the other plugs that the folder has readings of. skipped: files and lines that are no
    valid record, as "name: fault"."""

    found: tuple[Earlier, ...]
    others: tuple[str, ...]
    skipped: tuple[str, ...]


def whose(photo: str, machine: str | None, label: str | None) -> Whose:
    """What tells a plug, of its photo and of what was said of it."""
    return Whose(machine or None, label or cylinder_of(photo), plug_name(photo))


def earlier_readings(folder: Path, plug: Whose) -> EarlierReadings:
    """Every measured reading of a plug in the `*.json` and `*.jsonl` files of a folder, not of
    folders in it.

    Raises ValueError for a folder that is none, holds more than `MOST_FILES` files, or has plugs of
    several machines that fit, where it is not said which machine is meant.
    """
    if not folder.is_dir():
        raise ValueError(f"{folder} is no folder. Give one with earlier records.")
    files = sorted(p for p in folder.iterdir() if p.suffix in (".json", ".jsonl") and p.is_file())
    if len(files) > MOST_FILES:
        raise ValueError(f"{folder} holds over {MOST_FILES} files of records. Give a smaller one.")
    found: list[Earlier] = []
    others: dict[str, None] = {}
    skipped: list[str] = []
    for path in files:
        for one in _readings(path):
            if isinstance(one, str):
                skipped.append(f"{path.name}: {one}")
            elif plug.is_of(one.whose):
                found.append(one)
            else:
                others[one.whose.words] = None
    machines = sorted({one.whose.machine for one in found if one.whose.machine})
    if plug.machine is None and len(machines) > 1:
        raise ValueError(
            f"{folder} has readings of {', '.join(machines)}: say which one it is with an"
            " --engine-file that names it."
        )
    found.sort(key=lambda one: one.taken or "")  # stable: those without a time keep their order
    return EarlierReadings(tuple(found), tuple(others), tuple(skipped))


def earlier_of(reading: Reading, taken: str | None, plug: Whose = Whose()) -> Earlier | None:
    """A reading as it will be looked back on; None for one that was not measured."""
    if reading.measurement is None:
        return None
    settled = reading.condition.label if reading.outcome == "read" and reading.condition else None
    lab, sd = (
        tuple(hundredths(values)) for values in (reading.measurement.lab, reading.measurement.sd)
    )
    return Earlier(taken, lab, sd, settled, ntpath.basename(reading.photo), plug)


def _readings(path: Path) -> Iterator[Earlier | str]:
    """Each measured reading in a file, or what is wrong with it."""
    for found in _records(path):
        if isinstance(found, str):
            yield found
            continue
        faults = faults_of(found.record)
        if faults:
            yield faults[0]
        elif found.record["colour"] is not None:
            yield _earlier(found)


@dataclass(frozen=True)
class _Found:
    """A record, and what the report that it stands in says beside it."""

    record: Mapping[str, Any]
    machine: str | None = None
    label: str | None = None
    taken: str | None = None


def _records(path: Path) -> Iterator[_Found | str]:
    """Each record in a file, or what is wrong with it."""
    try:
        text = path.read_text("utf-8-sig")
        parsed = [json.loads(text)] if path.suffix == ".json" else None
        lines = [line for line in text.split("\n") if line.strip()] if parsed is None else []
    except (OSError, ValueError, RecursionError) as error:
        yield "it cannot be read" if isinstance(error, OSError) else "it holds no record"
        return
    for data in parsed or ():
        if isinstance(data, dict) and isinstance(data.get(REPORT_KEY), list):
            yield from _of_report(data)
        else:
            yield _Found(data) if isinstance(data, dict) else "no record"
    for line in lines:
        try:
            data = json.loads(line)
        except (ValueError, RecursionError):
            yield "a line holds no record"
            continue
        yield _Found(data) if isinstance(data, dict) else "no record"


def _of_report(report: Mapping[str, Any]) -> Iterator[_Found | str]:
    engine = report.get("engine")
    machine = _text(engine.get("name")) if isinstance(engine, dict) else None
    for plug in report[REPORT_KEY]:
        if isinstance(plug, dict) and isinstance(plug.get("record"), dict):
            yield _Found(
                plug["record"], machine, _text(plug.get("label")), _text(plug.get("taken"))
            )
        else:
            yield "no report of this tool"


def _text(value: object) -> str | None:
    return value if isinstance(value, str) else None


def _earlier(found: _Found) -> Earlier:
    record, colour = found.record, found.record["colour"]
    settled = record["condition"] if record["outcome"] == "read" else None
    lab, sd = (tuple(map(float, colour[key])) for key in ("lab", "sd"))
    photo = ntpath.basename(record["photo"])
    return Earlier(found.taken, lab, sd, settled, photo, whose(photo, found.machine, found.label))
