"""What the views of a batch cost, and whether their memory stands still while the batch grows.

`python -m pipelines.bench.batch_views [--count N]`: the demo photos are read once, and their
records, with colours shaken a little, make a batch of N photos. The command fails when the peak of
memory after the whole batch is more than `MOST` times that after its first tenth; give a count of
200,000 or more, so that the tenth fills pages and row groups.
"""

import hashlib
import random
import resource
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from pipelines.bench.parser import parser_of
from tipvision.batch.store.entry import Entry
from tipvision.batch.views.write import write_views
from tipvision.batch.workers.outcome import state_of
from tipvision.batch.workers.read_one import thumbnail_of
from tipvision.photo.photo import open_photo
from tipvision.reading import EVERY_PLUG, Ask, read
from tipvision.record.as_json import to_record
from tipvision.shipped import demo_folder

MOST = 1.05  # of the memory after the first tenth
MACHINES = ("TB-07", "QD-03", "SX-01", "GN-02", None)
SHAKE = (4.0, 1.0, 2.0)  # standard deviations of L*, a*, b*


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("batch_views", __doc__)
    parser.add_argument("--count", type=int, default=200_000)
    count = parser.parse_args(arguments).count
    demo_entries()  # loads the models
    begun = time.process_time()
    read_ones = demo_entries()
    reading_s = (time.process_time() - begun) / len(read_ones)
    peaks: list[int] = []

    def entries() -> Iterator[Entry]:
        for number, one in enumerate(batch(read_ones, count)):
            if number == count // 10:
                peaks.append(peak())
            yield one

    with tempfile.TemporaryDirectory() as folder:
        begun = time.process_time()
        write_views(Path(folder), entries, {})
        views_s = (time.process_time() - begun) / count
        size = sum(path.stat().st_size for path in Path(folder).rglob("*") if path.is_file())
    grown = peak() / peaks[0]
    print(f"photos: {count}, of {len(read_ones)} that were read")
    print(f"CPU time of a photo's views over that of its reading: {views_s / reading_s:.4f}")
    print(f"size on disk: {size / count / 1024:.1f} KiB a photo")
    print(f"peak memory after all over that after a tenth: {grown:.3f} (most {MOST})")
    return 1 if grown > MOST else 0


def demo_entries() -> list[Entry]:
    """The demo photos, each plug of them read."""
    entries = []
    for path in sorted(demo_folder().glob("*.jpg")):
        readings = read(str(path), Ask(plug=EVERY_PLUG))
        thumbnail = thumbnail_of(open_photo(str(path)).overview())
        records = tuple(to_record(reading) for reading in readings)
        entries.append(
            Entry(path.name, state_of(readings), records, None, "", None, 1, thumbnail, 0)
        )
    return entries


def batch(read_ones: Sequence[Entry], count: int) -> Iterator[Entry]:
    """So many photos with names, digests and colours of their own."""
    shaken = random.Random(1)
    for number in range(count):
        like = read_ones[number % len(read_ones)]
        name = f"{number // 1000:04}/{number:07}.jpg"
        yield Entry(
            name,
            like.state,
            tuple(_record(record, name, shaken) for record in like.records),
            None,
            hashlib.sha256(name.encode()).hexdigest(),
            shaken.choice(MACHINES),
            like.cylinder,
            like.thumbnail,
            0.0,
        )


def _record(record: Mapping[str, Any], name: str, shaken: random.Random) -> dict[str, Any]:
    made = {**record, "photo": name, "photos": [name]}
    if made["colour"] is not None:
        lab = made["colour"]["lab"]
        moved = [round(v + shaken.gauss(0.0, s), 2) for v, s in zip(lab, SHAKE, strict=True)]
        made["colour"] = {**made["colour"], "lab": moved}
    return made


def peak() -> int:
    """The most memory that this process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


if __name__ == "__main__":
    sys.exit(main())
