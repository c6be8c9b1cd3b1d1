"""Whether the memory of a batch grows with its photos.

`python -m pipelines.bench.batch_many --count 100000`: so many distinct photos of 0.8 megapixels,
made as they are read (`made_storage`), are read by two workers. Memory of the parent and of the
workers (resident, by the operating system) is looked at all the time; after the first tenth of the
photos none may grow by more than `MOST_GROWTH`. The time to the first reading is printed as well.
Linux only.
"""

import multiprocessing
import os
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pipelines.bench.made_storage import register
from pipelines.bench.parser import parser_of
from tipvision.batch.store.out_folder import STORE_FILE, OutFault
from tipvision.batch.store.store import opened
from tipvision.command import main as tipvision

MOST_GROWTH = 0.05
LOOK_S = 0.25
PAGE = os.sysconf("SC_PAGE_SIZE")


@dataclass(frozen=True)
class Look:
    """Seconds since the start, photos read, resident bytes of the parent and of each worker."""

    seconds: float
    read: int
    parent: int
    workers: dict[int, int]


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("batch_many", __doc__)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args(arguments)
    register()
    with tempfile.TemporaryDirectory() as folder:
        looks, ended = list[Look](), threading.Event()
        watcher = threading.Thread(target=watch, args=(Path(folder), looks, ended))
        watcher.start()
        command = ["batch", f"made://distinct/{options.count}", "--out", folder, "--quiet"]
        status = tipvision([*command, "--workers", str(options.workers)])
        ended.set()
        watcher.join()
    return told(looks, options.count, status)


def watch(out: Path, looks: list[Look], ended: threading.Event) -> None:
    """Look at memory and count until the batch has ended."""
    begun = time.monotonic()
    while not ended.wait(LOOK_S):
        pids = (child.pid for child in multiprocessing.active_children())
        workers = {pid: resident(pid) for pid in pids if pid is not None}
        seconds = time.monotonic() - begun
        looks.append(Look(seconds, read_so_far(out), resident(os.getpid()), workers))


def read_so_far(out: Path) -> int:
    """Readings that are committed."""
    if not (out / STORE_FILE).exists():
        return 0
    try:
        with opened(out, to_write=False) as store:
            (row,) = store.connection.execute("SELECT max(rowid) FROM readings").fetchone()
    except OutFault:  # it is being made
        return 0
    return int(row or 0)


def resident(pid: int) -> int:
    """Bytes of a process in memory; 0 of one that has ended."""
    try:
        return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * PAGE
    except (OSError, IndexError):
        return 0


def told(looks: list[Look], count: int, status: int) -> int:
    """Print what was seen; 1 where memory grew, or the batch failed."""
    first = next((look for look in looks if look.read), None)
    reading = [look for look in looks if count / 10 <= look.read < count and len(look.workers) > 1]
    if first is None or len(reading) < 10:
        raise SystemExit("Too few photos to see memory grow or not: give a larger --count.")
    print(f"photos: {count}, status {status}, looks after the first tenth: {len(reading)}")
    print(f"first reading kept after {first.seconds:.1f} s")
    pids = {pid for look in reading for pid in look.workers}
    series = {"parent": [look.parent for look in reading]}
    series |= {
        f"worker {pid}": [k.workers[pid] for k in reading if pid in k.workers] for pid in pids
    }
    worst = 0.0
    for name, sizes in series.items():
        tenth = max(1, len(sizes) // 10)
        before, after = (statistics.median(part) for part in (sizes[:tenth], sizes[-tenth:]))
        growth = after / before - 1
        worst = max(worst, growth)
        print(f"{name}: {before / 2**20:.0f} MB, at the end {after / 2**20:.0f} MB ({growth:+.1%})")
    print(f"most growth {worst:+.1%} (limit {MOST_GROWTH:+.0%})")
    return int(worst > MOST_GROWTH or status != 0)


if __name__ == "__main__":
    sys.exit(main())
