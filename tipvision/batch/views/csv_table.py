"""The readings of a batch as comma-separated values: RFC 4180, UTF-8, a head line with names."""

import csv
import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tipvision.batch.views.cells import NAMES, Cells
from tipvision.batch.views.streamed import streamed


@contextmanager
def csv_table(path: Path) -> Iterator[Callable[[Cells], object]]:
    """Writes the cells of each row it is given; what is not known is an empty field."""
    with streamed(path) as stream:
        text = io.TextIOWrapper(stream, "utf-8", newline="")
        writer = csv.writer(text, lineterminator="\r\n")
        writer.writerow(NAMES)
        try:
            yield writer.writerow
        finally:
            text.detach()  # the file is for `streamed` to close
