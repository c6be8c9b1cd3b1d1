"""A whole run over a batch with the stand-in for the reading.

`python -m tests.batch.running FOLDER OUT` is that run as a process of its own, to be killed.
"""

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from tests.batch.stand_in import prepared
from tipvision.batch.run import run_through
from tipvision.batch.sources.feed import Feed
from tipvision.batch.sources.found import PassedOver
from tipvision.batch.sources.listing import Asked, listed
from tipvision.batch.stop import orderly
from tipvision.batch.store.entries import entries
from tipvision.batch.store.entry import Entry
from tipvision.batch.store.out_folder import locked
from tipvision.batch.store.store import opened
from tipvision.batch.telling.summary import summary_of
from tipvision.batch.telling.tally import Tally
from tipvision.batch.workers.crew import Crew
from tipvision.batch.workers.hands import Hands

GROUNDS = {"version": "1", "model": "a", "light": "none", "engine": "none", "knowledge": "shipped"}


@dataclass(frozen=True)
class Ran:
    """What a run left: how it went, what the store holds, and its summary."""

    tally: Tally
    entries: tuple[Entry, ...]
    summary: dict


def run(
    asked: Asked,
    grounds: Mapping[str, str] = GROUNDS,
    workers: int = 1,
    longest: float = 60.0,
    log: Path | None = None,
    hands: Hands | None = None,
) -> Ran:
    """A whole run over what is asked for, into its `out`."""
    assert asked.out is not None
    asked.out.mkdir(exist_ok=True)
    passed = PassedOver()
    prepare = partial(prepared, None if log is None else str(log))
    with locked(asked.out), opened(asked.out) as store, orderly() as stop:
        crew = hands or Crew(prepare, workers, longest)
        with crew, Feed(listed(asked, passed)) as feed:
            tally = run_through(store, grounds, feed, crew, stop, lambda _: None)
        return Ran(tally, tuple(entries(store)), summary_of(store, tally, passed))


if __name__ == "__main__":
    ran = run(Asked((sys.argv[1],), out=Path(sys.argv[2])), workers=2)
    sys.exit(0 if ran.tally.complete else 130)
