"""What a batch holds of one photo."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

STATES = ("read", "unclear", "not_a_plug", "unreadable", "duplicate", "skipped")


@dataclass(frozen=True)
class Entry:
    """One photo of a batch, as the store keeps it.

    name:      as it was listed: its path below the folder with "/", or its URL.
    state:     one of `STATES`. Of a photo of several plugs, the first of these in the order above
               that one of its plugs came to. "skipped" is not read yet: the run was stopped.
    records:   as `record.as_json.to_record` gives them, one a plug; none for "duplicate" and
               "skipped".
    same_as:   the name of the file whose bytes it repeats; None for any other state.
    digest:    SHA-256 of the content, hex; "" where it was not read.
    machine:   from the sub-folder or the file name; None where neither tells.
    cylinder:  from the file name; None where it does not tell.
    thumbnail: JPEG, at most 120 px on the longer side, upright, without metadata.
    seconds:   CPU time of the reading.
    """

    name: str
    state: str
    records: tuple[Mapping[str, Any], ...]
    same_as: str | None
    digest: str
    machine: str | None
    cylinder: int | None
    thumbnail: bytes | None
    seconds: float
