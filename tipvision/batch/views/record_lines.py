"""The records of a batch, one a line, as `tipvision read --json` prints them."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tipvision.batch.store.entry import Entry
from tipvision.batch.views.streamed import streamed


@contextmanager
def record_lines(path: Path) -> Iterator[Callable[[Entry], None]]:
    """Writes the records of each entry it is given; a repeated or skipped file has none."""
    with streamed(path) as stream:

        def put(entry: Entry) -> None:
            for record in entry.records:
                stream.write(json.dumps(record, allow_nan=False).encode("ascii") + b"\n")

        yield put
