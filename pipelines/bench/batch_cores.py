"""What a second core is worth to a batch.

`python -m pipelines.bench.batch_cores [--count 1000] [--rounds 3]`: the same photos by one worker
on one core and by two workers on two, in turns, each into a new folder. The ratio is that of the
photos a second, by the batch's own clock, of the medians. Other work on the machine lowers it, so
the load is printed, and what a photo costs in CPU time, which other work hardly moves: twice the
quotient of these is what two cores could give at most. Linux only, since processes are kept to
cores.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from pipelines.bench.batch_photos import folder_of

LEAST_RATIO = 1.8


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--rounds", type=int, default=3)
    options = parser.parse_args()
    usable = sorted(os.sched_getaffinity(0))
    if len(usable) < 2:
        raise SystemExit("This machine lends only one core: there is nothing to compare.")
    runs: dict[int, list[tuple[float, float]]] = {1: [], 2: []}
    with tempfile.TemporaryDirectory() as folder:
        photos = folder_of(Path(folder, "photos"), options.count)
        for turn in range(options.rounds):
            for cores, held in runs.items():
                out = Path(folder, f"{cores}-{turn}")
                held.append(measured(photos, out, set(usable[:cores])))
                rate, cpu = held[-1][0], 1e3 * held[-1][1] / options.count
                load = os.getloadavg()[0]
                print(f"cores {cores}: {rate:.1f} photos/s, {cpu:.1f} ms CPU each, load {load:.1f}")
    rates, costs = (
        [statistics.median(run[k] for run in runs[cores]) for cores in runs] for k in (0, 1)
    )
    print(f"photos: {options.count}, rounds: {options.rounds}, cores here: {len(usable)}")
    print(f"at most, by CPU time: {2 * costs[0] / costs[1]:.2f}")
    print(f"ratio {rates[1] / rates[0]:.2f} (limit {LEAST_RATIO})")
    return int(rates[1] / rates[0] < LEAST_RATIO)


def measured(photos: Path, out: Path, cores: set[int]) -> tuple[float, float]:
    """Photos a second of a batch with a worker on each of these cores, and its CPU seconds."""
    command = [sys.executable, "-m", "tipvision", "batch", str(photos), "--out", str(out), "-q"]
    before = os.sched_getaffinity(0)
    os.sched_setaffinity(0, cores)  # which a child inherits
    child = subprocess.Popen([*command, "--workers", str(len(cores))])
    _, status, usage = os.wait4(child.pid, 0)  # with that of its workers
    os.sched_setaffinity(0, before)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in (0, 1):
        raise SystemExit(f"the batch ended with status {child.returncode}")
    run = json.loads((out / "summary.json").read_text())["run"]
    return run["photos_a_second"], usage.ru_utime + usage.ru_stime


if __name__ == "__main__":
    sys.exit(main())
