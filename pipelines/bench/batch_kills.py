"""Whether a batch loses or repeats a reading when it is killed again and again.

`python -m pipelines.bench.batch_kills --count 500`: so many kills (SIGKILL) at random moments of
`tipvision batch` over a small folder: while it starts, lists, reads, writes the views, or is done.
After each kill every reading that stood before must stand, the same one; the store must be whole;
and the workers must end. Whenever a run comes to its end, what it holds must be what a run without
kills held, and the next begins anew.
"""

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from pipelines.bench.batch_photos import folder_of
from pipelines.bench.parser import parser_of
from tipvision.batch.store.entries import entries
from tipvision.batch.store.entry import Entry
from tipvision.batch.store.out_folder import STORE_FILE, OutFault
from tipvision.batch.store.store import opened

PHOTOS = 60
LONGEST = 3.0  # seconds until a run is killed
PARTING_S = 5.0  # that workers have to end after their parent


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("batch_kills", __doc__)
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        photos = folder_of(Path(folder, "photos"), PHOTOS)
        begun(photos, Path(folder, "undisturbed")).wait()
        expected = held(Path(folder, "undisturbed"))
        lines, whole, in_reading = kills(
            photos, Path(folder, "out"), expected, options.count, random.Random(options.seed)
        )
    print(f"kills: {options.count}, of which with readings made but not all: {in_reading}")
    print(f"runs that came to their end after kills, equal to the undisturbed one: {whole}")
    print(f"faults: {len(lines)}")
    for line in lines:
        print(f"  {line}")
    return 1 if lines else 0


def kills(
    photos: Path, out: Path, expected: list[Entry], count: int, moments: random.Random
) -> tuple[list[str], int, int]:
    """(what went wrong, a line each; how many runs were whole; kills amid the reading)."""
    faults: list[str] = []
    whole, amid, before = 0, 0, dict[str, float]()
    for k in range(count):
        process = begun(photos, out)
        time.sleep(moments.uniform(0.0, LONGEST))
        process.kill()
        process.wait()
        if not all_ended(process.pid):
            faults.append(f"kill {k}: workers were still there after {PARTING_S:g} s")
        try:
            now = readings(out)
        except OutFault as fault:
            faults.append(f"kill {k}: {fault}")
            shutil.rmtree(out)
            before = {}
            continue
        lost = sum(now.get(digest) != seconds for digest, seconds in before.items())
        if lost:
            faults.append(f"kill {k}: {lost} readings were lost or made again")
        amid += 0 < len(now) < len({one.digest for one in expected})
        before = now
        if (out / "summary.json").exists():
            found = held(out)
            if found == expected:
                whole += 1
            else:
                other = [a.name for a, b in zip(found, expected, strict=False) if a != b]
                faults.append(f"kill {k}: {len(found)} photos, {len(other)} differ: {other[:3]}")
            shutil.rmtree(out)
            before = {}
    return faults, whole, amid


def begun(photos: Path, out: Path) -> subprocess.Popen[bytes]:
    """A batch in a session of its own, so that its workers can be told from others."""
    command = [sys.executable, "-m", "tipvision", "batch", str(photos), "--out", str(out), "-q"]
    return subprocess.Popen([*command, "--workers", "2"], start_new_session=True)


def all_ended(session: int) -> bool:
    """Whether no process of the session is left after a while."""
    end = time.monotonic() + PARTING_S
    while time.monotonic() < end:
        try:
            os.killpg(session, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.02)
    os.killpg(session, signal.SIGKILL)
    return False


def readings(out: Path) -> dict[str, float]:
    """CPU seconds of each reading by content: a reading that is made again has others."""
    if not (out / STORE_FILE).exists():
        return {}
    with opened(out) as store:
        (whole,) = store.connection.execute("PRAGMA integrity_check").fetchone()
        if whole != "ok":
            raise OutFault(f"the store is torn: {whole}")
        return dict(store.connection.execute("SELECT digest, seconds FROM readings"))


def held(out: Path) -> list[Entry]:
    """What a batch holds, without what differs from run to run."""
    with opened(out) as store:
        return [replace(entry, seconds=0.0) for entry in entries(store)]


if __name__ == "__main__":
    sys.exit(main())
