"""Which machine and which cylinder a photo belongs to, by its sub-folder and its name."""

import re
from pathlib import PurePosixPath

LONGEST_MACHINE = 80
_CYLINDER = re.compile(r"(?:cylinder|cyl)[\s._-]*(?P<cylinder>\d{1,2})(?!\d)", re.IGNORECASE)

Belonging = tuple[str | None, int | None]


def compiled(pattern: str) -> re.Pattern[str]:
    """A shop's own pattern, compiled.

    Raises ValueError for one that is no regular expression, or names neither group.
    """
    try:
        made = re.compile(pattern)
    except re.error as error:
        raise ValueError(f"--pattern '{pattern}' is no regular expression: {error}.") from error
    if not {"machine", "cylinder"} & set(made.groupindex):
        raise ValueError("--pattern names what it finds: (?P<machine>…), (?P<cylinder>…) or both.")
    return made


def belonging(name: str, below: str, pattern: re.Pattern[str] | None = None) -> Belonging:
    """(machine, cylinder) of a photo; None for what nothing tells.

    name:    as the batch calls the photo; a shop's pattern is looked for in all of it.
    below:   its path below the folder that was given: without a pattern the machine is the first
             sub-folder of it, and the cylinder is told by "cyl2" or "cylinder 2" in the file name.
    pattern: with named groups; a group that it lacks or that is empty counts as not told.
    """
    path = PurePosixPath(below)
    machine = path.parts[0] if len(path.parts) > 1 else None
    found = _CYLINDER.search(path.stem)
    if pattern is not None:
        found = pattern.search(name)
        told = found.groupdict() if found else {}
        if "machine" in pattern.groupindex:
            machine = told.get("machine")
        if "cylinder" not in pattern.groupindex:
            found = _CYLINDER.search(path.stem)
    cylinder = found.groupdict().get("cylinder") if found else None
    return (machine or "")[:LONGEST_MACHINE] or None, _number(cylinder)


def _number(text: str | None) -> int | None:
    return int(text) if text and text.isdecimal() and len(text) <= 3 else None
