"""What each plug of a set is called: its cylinder, from what was said or from the file names."""

import ntpath
import re
from collections.abc import Sequence
from pathlib import PurePath

from tipvision.record.reading import Reading

LONGEST_LABEL = 24
_CYLINDER = re.compile(r"(?:cylinder|cyl)[\s._-]*(\d{1,2})(?!\d)", re.IGNORECASE)
_WORD = re.compile(r"[^\s._()\[\]-]+")


def labels_of(readings: Sequence[Reading], said: Sequence[str] = ()) -> tuple[str, ...]:
    """A label for each plug, no two alike, such as "cylinder 2", "left" or "plug 3".

    said: cylinders in the order of the readings; ValueError when their count is another, one is
    empty or too long, or two are alike. Without it "cyl2" in a file name counts, then whatever the
    names differ in, then the plug's number.
    """
    if said:
        if len(said) != len(readings):
            raise ValueError(
                f"{len(said)} cylinders were named for {len(readings)} plugs: name one for each."
            )
        labels = [label.strip() for label in said]
        if not all(0 < len(x) <= LONGEST_LABEL and x.isprintable() for x in labels):
            raise ValueError(f"A cylinder's name has 1 to {LONGEST_LABEL} plain letters.")
        if len(set(labels)) < len(labels):
            raise ValueError("Two cylinders have the same name.")
        return tuple(map(_in_words, labels))
    stems = [PurePath(ntpath.basename(reading.photo)).stem for reading in readings]
    for found in (_cylinders(stems), _differences(stems)):
        if found is not None and len(set(found)) == len(stems):
            return found
    return tuple(f"plug {number}" for number in range(1, len(readings) + 1))


def _cylinders(stems: Sequence[str]) -> tuple[str, ...] | None:
    matches = [_CYLINDER.search(stem) for stem in stems]
    return None if None in matches else tuple(f"cylinder {int(m[1])}" for m in matches if m)


def _differences(stems: Sequence[str]) -> tuple[str, ...] | None:
    """What is left of each name without the words that all begin and end with, as it stands."""
    words = [list(_WORD.finditer(stem)) for stem in stems]
    while all(len(w) > 1 for w in words) and len({w[0][0] for w in words}) == 1:
        words = [w[1:] for w in words]
    while all(len(w) > 1 for w in words) and len({w[-1][0] for w in words}) == 1:
        words = [w[:-1] for w in words]
    if not all(words):
        return None
    left = [stem[w[0].start() : w[-1].end()] for stem, w in zip(stems, words, strict=True)]
    if not all(len(x) <= LONGEST_LABEL and x.isprintable() for x in left):
        return None
    return tuple(map(_in_words, left))


def _in_words(label: str) -> str:
    return f"cylinder {int(label)}" if label.isdecimal() and len(label) <= 2 else label
