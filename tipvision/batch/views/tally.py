"""Counts of a batch that add up."""

from collections import Counter

from tipvision.batch.store.entry import STATES
from tipvision.batch.views.rows import Row
from tipvision.condition.condition import LABELS

NOT_READ = tuple(state for state in STATES if state != "read")
GROUPS = (*LABELS, *NOT_READ)
"""Every row is in one of these: what was read by its label, all else by its state."""
MOST_MACHINES = 500  # counted by name; the rest count together, so that memory stays bounded
OTHER_MACHINES = "other machines"


def group_of(row: Row) -> str:
    """The one of `GROUPS` that a row is in."""
    return (row.condition or "none") if row.state == "read" else row.state


class Tally:
    """What has been counted so far.

    photos:   files. groups: rows by group; they sum to `rows`. engine: rows by their verdict on the
    engine. reasons: rows by reason code, each as often as it has reasons. machines: the groups of
    each machine; None is where the machine is not known.
    """

    def __init__(self) -> None:
        self.photos = 0
        self.groups: Counter[str] = Counter()
        self.engine: Counter[str] = Counter()
        self.reasons: Counter[str] = Counter()
        self.machines: dict[str | None, Counter[str]] = {}

    @property
    def rows(self) -> int:
        """How many rows were counted."""
        return self.groups.total()

    @property
    def read(self) -> int:
        """How many of them have a settled answer."""
        return sum(self.groups[label] for label in LABELS)

    def add(self, rows: tuple[Row, ...]) -> None:
        """Count one photo with its rows."""
        self.photos += 1
        for row in rows:
            group = group_of(row)
            self.groups[group] += 1
            if row.engine_verdict is not None:
                self.engine[row.engine_verdict] += 1
            self.reasons.update((row.reasons or "").split())
            self.machines.setdefault(self._machine(row.machine), Counter())[group] += 1

    def _machine(self, name: str | None) -> str | None:
        full = len(self.machines) >= MOST_MACHINES and name not in self.machines
        return OTHER_MACHINES if full and name is not None else name
