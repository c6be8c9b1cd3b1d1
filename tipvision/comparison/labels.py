"""What each plug of a set is called: its cylinder, from what was said or from the file names."""

import ntpath
import re
from collections.abc import Sequence
from pathlib import PurePath

from tipvision.record.reading import Reading

LONGEST_LABEL = 24
_CYLINDER = re.compile(r"(?:cylinder|cyl)[\s._-]*(\d{1,2})(?!\d)", re.IGNORECASE)
_WORD = re.compile(r"[^\s._()\[\]-]+")
_DATE = re.compile(r"(?:19|20)\d\d([-_.]?)[01]\d\1[0-3]\d")
_OF_THE_SHOT = re.compile(r"[a-z]|\d{3,}", re.IGNORECASE)  # a letter, a counter, a time


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
    photos = [reading.photo for reading in readings]
    for found in (_cylinders(photos), _differences(list(map(_stem, photos)))):
        if found is not None and len(set(found)) == len(photos):
            return found
    return tuple(f"plug {number}" for number in range(1, len(readings) + 1))


def plug_name(photo: str) -> str:
    """What a photo's name says of its plug, in small letters: "tb 07" of "TB-07-a.jpg".

    Dates count as nothing, and so do a letter, a counter or a time of day at the end; "" where
    nothing is left.
    """
    words = _WORD.findall(_DATE.sub(" ", _stem(photo)).casefold())
    while words and _OF_THE_SHOT.fullmatch(words[-1]):
        words.pop()
    return " ".join(words)


def without_cylinder(name: str) -> str:
    """Such a name without the cylinder: "sx 01" of "sx 01 cyl2"."""
    return " ".join(_CYLINDER.sub(" ", name).split())


def cylinder_of(photo: str) -> str | None:
    """The label of a plug whose photo's name tells it: "cylinder 2" of "SX-01-cyl2.jpg"."""
    found = _CYLINDER.search(_stem(photo))
    return f"cylinder {int(found[1])}" if found else None


def _stem(photo: str) -> str:
    return PurePath(ntpath.basename(photo)).stem


def _cylinders(photos: Sequence[str]) -> tuple[str, ...] | None:
    labels = tuple(map(cylinder_of, photos))
    return None if None in labels else tuple(label for label in labels if label)


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
