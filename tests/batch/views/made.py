"""Batches made by hand, of the readings that the reports are tested with."""

import hashlib
import io
import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from PIL import Image

from tests.report import samples
from tipvision.batch.store.entry import Entry
from tipvision.batch.workers.outcome import state_of
from tipvision.record.as_json import to_record
from tipvision.record.reading import Reading

HOSTILE = (
    "<script>alert(1)</script>.jpg",
    "</script><img src=x onerror=alert(2)>.jpg",
    '=HYPERLINK("http://x").jpg',
    "-2.jpg",
    "a;=1+1.jpg",
    "\u202egpj.exe",
    "bad\udcff\udc80.jpg",
    "quote\"'`.jpg",
    "new\nline\r\ttab.jpg",
    "&amp;{{ 7 * 7 }}.jpg",
    "ünïcode 漢字.jpg",
)


@cache
def thumbnail(grey: int = 120) -> bytes:
    """A small JPEG."""
    held = io.BytesIO()
    Image.new("RGB", (40, 30), (grey, grey, grey)).save(held, "JPEG")
    return held.getvalue()


def entry(name: str, *readings: Reading, machine: str | None = None, **facts: object) -> Entry:
    """The entry of a photo with these readings, one a plug."""
    digest = hashlib.sha256(name.encode("utf-8", "surrogateescape")).hexdigest()
    records = tuple(to_record(replace(one, photo=name)) for one in readings)
    state = state_of(readings) if readings else "skipped"
    usual = {"same_as": None, "cylinder": None, "thumbnail": thumbnail(), "seconds": 0.1}
    told = {"state": state, "digest": digest} | usual | facts
    return Entry(name=name, records=records, machine=machine, **told)  # type: ignore[arg-type]


def batch(count: int, seed: int = 1) -> Iterator[Entry]:
    """Photos of every kind, the first with hostile names."""
    rng, kinds = random.Random(seed), list(samples.ALL.values())
    machines = (None, "TB-07", "QD-03", "SX-01", "=1+1", "<b>")
    for i in range(count):
        name = HOSTILE[i] if i < len(HOSTILE) else f"folder/{i:05d}.jpg"
        machine = rng.choice(machines)
        if i and rng.random() < 0.08:
            yield entry(name, machine=machine, state="duplicate", same_as=HOSTILE[0])
        elif rng.random() < 0.04:
            yield entry(name, machine=machine, digest="", thumbnail=None)
        else:
            readings = [rng.choice(kinds)]
            if rng.random() < 0.05:
                readings = [replace(rng.choice(kinds[:5]), plug=(k + 1, 3)) for k in range(3)]
            yield entry(name, *readings, machine=machine, cylinder=rng.choice((None, 1, 2)))
