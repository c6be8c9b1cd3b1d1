"""How a run goes, for people: one counting line on a terminal, a line now and then in a log."""

import time
from collections import deque
from dataclasses import dataclass, field
from typing import TextIO

from tipvision.batch.telling.tally import Tally

ON_TERMINAL_S = 0.2  # between two states of the line
IN_LOG_S = 30.0  # between two lines
LOOK_BACK_S = 60.0  # over which the rate is taken


@dataclass
class Progress:
    """Writes to `stream`; as a function of a `Tally` it is what `run.run_through` tells."""

    stream: TextIO
    _last: float = field(default_factory=time.monotonic)
    _recent: deque[tuple[float, int]] = field(default_factory=deque)
    _shown: int = 0
    _tally: Tally | None = None

    def __call__(self, tally: Tally) -> None:
        now = time.monotonic()
        on_terminal = self.stream.isatty()
        if now - self._last < (ON_TERMINAL_S if on_terminal else IN_LOG_S):
            return
        self._last, self._tally = now, tally
        self._recent.append((now, tally.settled))
        while len(self._recent) > 2 and self._recent[0][0] < now - LOOK_BACK_S:
            self._recent.popleft()
        self._show(tally, now, on_terminal)

    def end(self) -> None:
        """Leave the line of a terminal as it stands at last; what is written next has its own."""
        if self._tally is not None and self.stream.isatty():
            self._show(self._tally, time.monotonic(), True)
            self._write("\n")

    def _show(self, tally: Tally, now: float, on_terminal: bool) -> None:
        line = words(tally, self._rate(tally, now))
        self._write(f"\r{line:<{self._shown}}" if on_terminal else f"{line}\n")
        self._shown = len(line)

    def _rate(self, tally: Tally, now: float) -> float:
        """Photos a second."""
        then, settled = self._recent[0] if len(self._recent) > 1 else (tally.begun, 0)
        return (tally.settled - settled) / max(now - then, 1e-9)

    def _write(self, text: str) -> None:
        print(text, end="", file=self.stream, flush=True)


def words(tally: Tally, rate: float) -> str:
    """One line: how many of how many, how fast, how long it will take once all is listed."""
    known = "" if tally.listing_ended else " or more"
    line = f"{tally.settled:,} of {tally.to_read:,}{known} photos read, {rate:.1f} a second"
    if tally.listing_ended and rate > 0 and tally.settled < tally.to_read:
        line += f", {duration((tally.to_read - tally.settled) / rate)} left"
    return line


def duration(seconds: float) -> str:
    """In the largest unit that says it well."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    if seconds < 5400:
        return f"{seconds / 60:.0f} min"
    return f"{seconds / 3600:.1f} h"
