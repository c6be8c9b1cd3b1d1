"""What a worker hands back of one photo."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from tipvision.batch.store.entry import STATES
from tipvision.photo.fault import PhotoFault
from tipvision.record.as_json import to_record
from tipvision.record.reading import Reading

UNFORESEEN = "An error that was not foreseen stopped the reading"


@dataclass(frozen=True)
class Outcome:
    """One photo, read.

    state:     the first of `STATES` that one of its plugs came to.
    answers:   the condition of each plug that was read.
    records:   as `to_record` gives them, one a plug.
    thumbnail: see `Entry`.
    compared:  what `odd_plugs` needs of it, for a photo of one plug that was measured.
    seconds:   CPU time.
    """

    state: str
    answers: tuple[str, ...]
    records: tuple[Mapping[str, Any], ...]
    thumbnail: bytes | None = None
    compared: bytes | None = None
    seconds: float = 0.0


Work = Callable[[str, bytes], Outcome]
"""Reads the photo of that name and content."""

Preparation = Callable[[], Work]
"""Makes a worker ready, models loaded; can be pickled."""


def state_of(readings: tuple[Reading, ...]) -> str:
    """The state of a photo by the readings of its plugs."""
    return min((one.outcome for one in readings), key=STATES.index)


def unforeseen(name: str, error: Exception) -> Outcome:
    """A photo whose reading was stopped by an error that no station takes for a fault of it."""
    fault = f"{UNFORESEEN} ({type(error).__name__})."
    mend = "Run it again; if it stays, export the photo anew."
    return unreadable(name, PhotoFault(fault, mend))


def unreadable(name: str, fault: PhotoFault) -> Outcome:
    """A photo that could not be opened, for the reason that the fault carries."""
    reading = Reading(name, "unreadable", (fault.reason,))
    return Outcome("unreadable", (), (to_record(reading),))
