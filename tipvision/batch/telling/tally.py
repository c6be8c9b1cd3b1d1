"""How a run goes, in counts."""

import time
from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Tally:
    """How a run goes; counts of photos.

    listed:   that were listed. to_read: of those, that had no reading. settled: of those, that are
              done with.
    read:     that a worker read. again: of `read`, why those that had a reading were read again, by
              the keys of `grounds.WORDS` and "changed".
    gone:     that earlier runs listed and this one did not.
    complete: all was listed and all was settled.
    """

    listed: int = 0
    to_read: int = 0
    settled: int = 0
    read: int = 0
    again: Counter[str] = field(default_factory=Counter)
    gone: int = 0
    listing_ended: bool = False
    complete: bool = False
    begun: float = field(default_factory=time.monotonic)
    seconds: float = 0.0
