"""An orderly end: the first interrupt lets the photos in hand be finished, the second does not."""

import os
import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import FrameType

SIGNALS = (signal.SIGINT, signal.SIGTERM)
SAME_S = 0.5  # within which a second signal is the first one again: some send it by two ways


@dataclass
class Stop:
    """Whether the run was asked to end, and when first (monotonic seconds)."""

    asked: bool = False
    since: float = 0.0


@contextmanager
def orderly(words: str = "") -> Iterator[Stop]:
    """Note an interrupt instead of being ended by it; only in the main thread.

    words: told on standard error then. A second interrupt, later than `SAME_S`, ends the run as
    always (KeyboardInterrupt).
    """
    stop = Stop()

    def ask(_number: int, _frame: FrameType | None) -> None:
        now = time.monotonic()
        if stop.asked and now - stop.since > SAME_S:
            raise KeyboardInterrupt
        if not stop.asked:
            stop.asked, stop.since = True, now
            os.write(2, words.encode())  # print may be what was interrupted

    before = {number: signal.signal(number, ask) for number in SIGNALS}
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
