"""What a listing comes to: photos to read, and what it passes over."""

from collections import Counter
from dataclasses import dataclass, field
from pathlib import PurePath

MOST_KINDS = 40  # endings, and folders, that are told apart among what was passed over


class ListingFault(ValueError):
    """A source cannot be listed; one line says which, why and what to do."""


class StorageFault(OSError):
    """Shared storage does not answer; one line says which and what to do."""


@dataclass(frozen=True)
class Found:
    """Where a photo lies and what the listing told of it.

    name:     what the batch calls it.
    place:    of its source among the sources, or of its line in a list file.
    location: path or URL that opens it.
    size:     bytes; None where the listing does not tell.
    stamp:    changes when the file is written; None where nothing tells, so that the content must.
    machine:  that its sub-folder or name tells.
    cylinder: that its name tells, from 1.
    """

    name: str
    place: int
    location: str
    size: int | None
    stamp: str | None
    machine: str | None = None
    cylinder: int | None = None


@dataclass
class PassedOver:
    """What a listing passed over, filled while it goes.

    files:   by their ending, how many files of folders are no photos by their name.
    folders: that could not be listed, a line each.
    """

    files: Counter[str] = field(default_factory=Counter)
    folders: list[str] = field(default_factory=list)

    def file(self, name: str) -> None:
        ending = PurePath(name).suffix.lower() or "no ending"
        known = ending in self.files or len(self.files) < MOST_KINDS
        self.files[ending if known else "other"] += 1

    def folder(self, name: str, fault: OSError) -> None:
        if len(self.folders) < MOST_KINDS:
            self.folders.append(f"{name}: {fault.strerror or fault}")
