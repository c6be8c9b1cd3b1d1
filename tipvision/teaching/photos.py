"""Which photos a shop hands over, what each is labelled, and which plug it shows."""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tipvision.condition.condition import CONDITIONS
from tipvision.photo.kind import SUFFIXES

COLUMNS = ("photo", "condition")


class LabelsError(ValueError):
    """The labels cannot be used; the message is one line that says what to do."""


def in_its_folder(path: Path) -> str:
    """Such as "normal/plug-1.jpg"."""
    return "/".join(path.parts[-2:])


@dataclass(frozen=True)
class Labelled:
    """label: one of `CONDITIONS`. plug: a name that photos of one plug share."""

    path: Path
    label: str
    plug: str

    @property
    def name(self) -> str:
        """Of the photo with its folder, since folders of labels often share names of photos."""
        return in_its_folder(self.path)


@dataclass(frozen=True)
class Listing:
    """photos: in a fixed order. faults: what stops a training, notes: what only is to be known;
    one line each."""

    photos: tuple[Labelled, ...]
    faults: tuple[str, ...]
    notes: tuple[str, ...]


def listed(folder: Path, labels: Path | None = None, plug_names: str | None = None) -> Listing:
    """The labelled photos of a folder.

    labels: a CSV file with the columns `photo` (a path seen from the folder) and `condition`, and
    `plug` if several photos show one; without it a photo's label is the name of its sub-folder.
    plug_names: how file names tell the plug, such as "{plug}-*" for tb-07-a.jpg and tb-07-b.jpg;
    without it every photo of a sub-folder counts as a plug of its own.

    Raises LabelsError for a folder, a CSV file or a form of names that cannot be used at all.
    """
    if not folder.is_dir():
        raise LabelsError(f"{folder} is no folder. Give the folder that holds the photos.")
    named = None if plug_names is None else pattern_of(plug_names)
    if labels is None:
        return _by_folder(folder, named)
    return _by_csv(folder, labels, named)


def pattern_of(names: str) -> re.Pattern[str]:
    """The form of file names (without their ending) as a pattern with one group.

    Raises LabelsError for a form without {plug}, or with more than one.
    """
    if names.count("{plug}") != 1:
        raise LabelsError(
            f"'{names}' does not say where the plug stands in a file name: write it as {{plug}}-*."
        )
    before, after = (".*?".join(map(re.escape, part.split("*"))) for part in names.split("{plug}"))
    return re.compile(f"{before}(.+){after}", re.IGNORECASE)


def _by_folder(folder: Path, named: re.Pattern[str] | None) -> Listing:
    photos, faults, others = [], [], 0
    for inside in sorted(p for p in folder.iterdir() if not p.name.startswith(".")):
        if not inside.is_dir():
            others += 1
            continue
        files = [p for p in sorted(inside.rglob("*")) if p.is_file() and p.name[0] != "."]
        held = [path for path in files if path.suffix.lower() in SUFFIXES]
        others += len(files) - len(held)
        label = _label(inside.name)
        if label not in CONDITIONS:
            if held:
                faults.append(_unknown(f"sub-folder {inside.name}", len(held)))
            continue
        for path in held:
            plug = _plug_of(path, named)
            photos.append(Labelled(path, label, f"{label}/{plug}"))
    return Listing(tuple(photos), tuple(faults), _left(others))


def _by_csv(folder: Path, labels: Path, named: re.Pattern[str] | None) -> Listing:
    photos, faults, seen = [], [], set()
    for number, row in _rows(labels):
        name, label = (row[column].strip() for column in COLUMNS)
        path = folder / name
        if _label(label) not in CONDITIONS:
            faults.append(
                _unknown(f"{labels.name}, line {number}: condition {label or 'empty'}", 1)
            )
        elif not path.is_file():
            faults.append(f"{labels.name}, line {number}: there is no photo {name} in the folder.")
        elif path in seen:
            faults.append(f"{labels.name}, line {number}: {name} stands there twice. Keep one.")
        else:
            seen.add(path)
            plug = (row.get("plug") or "").strip() or _plug_of(path, named)
            photos.append(Labelled(path, _label(label), plug))
    return Listing(tuple(photos), (*faults, *_contradictions(photos)), ())


def _rows(labels: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows with the numbers of their lines."""
    try:
        with labels.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.DictReader(file, restval="")
            names = [(name or "").strip().casefold() for name in reader.fieldnames or ()]
            if missing := [name for name in COLUMNS if name not in names]:
                raise LabelsError(
                    f"{labels} has no column {' and no column '.join(missing)}. "
                    "Its first line must name photo and condition."
                )
            reader.fieldnames = names
            for row in reader:
                yield reader.line_num, {k: v for k, v in row.items() if isinstance(v, str)}
    except OSError as error:
        raise LabelsError(f"{labels}: {error.strerror}. Give a CSV file of labels.") from error
    except (UnicodeError, csv.Error) as error:
        raise LabelsError(f"{labels} cannot be read as a CSV file in UTF-8. Save it so.") from error


def _contradictions(photos: list[Labelled]) -> Iterator[str]:
    told: dict[str, set[str]] = {}
    for photo in photos:
        told.setdefault(photo.plug, set()).add(photo.label)
    for plug, labels in told.items():
        if len(labels) > 1:
            yield f"Plug {plug} is labelled {' and '.join(sorted(labels))}. Keep one of them."


def _plug_of(path: Path, named: re.Pattern[str] | None) -> str:
    match = None if named is None else named.fullmatch(path.stem)
    return path.name if match is None else match[1]


def _label(name: str) -> str:
    return name.strip().casefold().replace(" ", "_").replace("-", "_")


def _unknown(where: str, count: int) -> str:
    return (
        f"{where}: not a condition ({count} photo{'s' if count > 1 else ''}). "
        f"The conditions are {', '.join(CONDITIONS)}."
    )


def _left(others: int) -> tuple[str, ...]:
    if not others:
        return ()
    return (f"{others} file(s) that are no photo, or lie in no sub-folder, were passed over.",)
