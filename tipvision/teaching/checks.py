"""What is looked at before a training starts: every fault in one line, none in the middle of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.condition import CONDITIONS
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import open_photo
from tipvision.teaching.alike import alike, mark_of, numbered
from tipvision.teaching.photos import Labelled, Listing

FEWEST = 5  # plugs of a condition, from which it can be held out in parts
NO_PHOTO = (
    "There is no labelled photo here. Put the photos into a sub-folder for each condition, or name "
    "them in a file: --labels FILE.csv."
)
TO_PROMOTE = 20  # plugs of each condition, from which a model may take the place of another


@dataclass(frozen=True)
class Checked:
    """photos: those that can be opened. plug: int64 (n,), which plug each shows. faults, notes: as
    in `Listing`."""

    photos: tuple[Labelled, ...]
    plug: NDArray[np.int64]
    faults: tuple[str, ...]
    notes: tuple[str, ...]


def checked(listing: Listing, done: Callable[[int], None] = lambda _: None) -> Checked:
    """Open every photo once, tie near copies to one plug, and count.

    A photo that cannot be opened is a note, and is left out; so are near copies that bear
    different labels, since one of the labels is wrong. done: is told how many photos are through.
    """
    opened, marks, notes = [], [], list(listing.notes)
    for k, photo in enumerate(listing.photos):
        try:
            marks.append(mark_of(open_photo(str(photo.path)).overview()))
            opened.append(photo)
        except PhotoFault as fault:
            notes.append(f"{photo.name}: left out. {fault.reason.text} {fault.reason.remedy}")
        done(k + 1)
    pairs = alike(marks)
    torn = [(a, b) for a, b in pairs if opened[a].label != opened[b].label]
    notes += [
        f"{opened[a].name} and {opened[b].name} look the same, but one is labelled "
        f"{opened[a].label}, the other {opened[b].label}. Both are left out."
        for a, b in torn
    ]
    left_out = {k for pair in torn for k in pair}
    kept = [k for k in range(len(opened)) if k not in left_out]
    place = {k: n for n, k in enumerate(kept)}
    tied = [(place[a], place[b]) for a, b in pairs if a in place and b in place]
    photos = tuple(opened[k] for k in kept)
    plug = numbered([photo.plug for photo in photos], tied)
    copies = {b for a, b in tied if photos[a].plug != photos[b].plug}
    if copies:
        notes.append(f"{len(copies)} photo(s) are near copies and count with the plug they repeat.")
    labels = [photo.label for photo in photos]
    faults = too_few(labels, plug) if listing.photos else [NO_PHOTO]
    return Checked(photos, plug, (*listing.faults, *faults), tuple(notes))


def plugs_of(labels: Sequence[str], plug: NDArray[np.int64]) -> dict[str, int]:
    """How many plugs each condition has."""
    held = np.asarray(labels, np.str_)
    return {name: len(np.unique(plug[held == name])) for name in CONDITIONS}


def too_few(labels: Sequence[str], plug: NDArray[np.int64]) -> list[str]:
    """What stops a training: fewer than two conditions, or fewer than `FEWEST` plugs of one."""
    counts = plugs_of(labels, plug)
    few = [f"{name} {count}" for name, count in counts.items() if 0 < count < FEWEST]
    faults = []
    if few:
        faults.append(
            f"Too few plugs to learn from, {FEWEST} of each condition are the least: "
            f"{', '.join(few)}. Add photos of more plugs, or take these conditions away."
        )
    if sum(count > 0 for count in counts.values()) < 2:
        faults.append("Photos of at least two conditions are needed to learn what parts them.")
    return faults


def missing(labels: Sequence[str], plug: NDArray[np.int64]) -> str:
    """What keeps a model from being promoted, however good it is; "" where nothing is missing."""
    short = [
        f"{name} {TO_PROMOTE - count}"
        for name, count in plugs_of(labels, plug).items()
        if count < TO_PROMOTE
    ]
    if not short:
        return ""
    return (
        f"Plugs missing before a model may take the place of the one in use, {TO_PROMOTE} of each "
        f"condition are needed: {', '.join(short)}."
    )
