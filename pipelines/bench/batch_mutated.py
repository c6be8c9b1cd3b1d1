"""Whether damaged files stop a batch.

`python -m pipelines.bench.batch_mutated --count 20000`: so many photos of every format with bytes
changed, cut out, doubled or missing (`mutations.mutated`) are read as a batch. Each must come out
as a record; none may end its worker, hang for longer than `LONGEST_S`, or raise an error that no
station foresaw.
"""

import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from pipelines.bench.made_storage import register
from pipelines.bench.parser import parser_of
from tipvision.batch.store.entries import entries
from tipvision.batch.store.store import opened
from tipvision.batch.workers.outcome import UNFORESEEN
from tipvision.command import main as tipvision

LONGEST_S = 5.0
MOST_LINES = 20


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("batch_mutated", __doc__)
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args(arguments)
    register()
    with tempfile.TemporaryDirectory() as folder:
        command = ["batch", f"made://mutated/{options.count}", "--out", folder]
        tipvision([*command, "--workers", str(options.workers), "--longest", str(LONGEST_S)])
        states, codes, faults, slowest = found(Path(folder))
    told = states.total() - states["skipped"]
    print(f"files: {options.count}, with a record or a copy of one that has: {told}")
    print("by state: " + ", ".join(f"{n} {state}" for state, n in sorted(states.items())))
    print("reasons: " + ", ".join(f"{n} {code}" for code, n in codes.most_common()))
    print(f"slowest reading: {slowest:.2f} s of CPU time")
    print(f"workers ended, hung or surprised: {len(faults)}")
    for line in faults[:MOST_LINES]:
        print(f"  {line}")
    return int(bool(faults) or told != options.count)


def found(out: Path) -> tuple[Counter[str], Counter[str], list[str], float]:
    """States, reason codes, faults of the reading, CPU seconds of the slowest."""
    states, codes, faults, slowest = Counter[str](), Counter[str](), list[str](), 0.0
    with opened(out, to_write=False) as store:
        for entry in entries(store):
            states[entry.state] += 1
            slowest = max(slowest, entry.seconds)
            for record in entry.records:
                for reason in record["reasons"]:
                    codes[reason["code"]] += 1
                    text = reason["text"]
                    if "twice" in text or text.startswith(UNFORESEEN):
                        faults.append(f"{entry.name}: {text}")
    return states, codes, faults, slowest


if __name__ == "__main__":
    sys.exit(main())
