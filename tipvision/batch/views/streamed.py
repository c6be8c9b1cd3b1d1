"""Files too long to be held in memory, which still are there whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

UNFINISHED = ".part-"  # begins the name of what is still being written


@contextmanager
def streamed(path: Path) -> Iterator[BinaryIO]:
    """A file to write, which replaces `path` once the block ends; one that fails leaves the old.

    Only one may write to a path at a time. Raises OSError where it cannot be written.
    """
    temporary = path.with_name(UNFINISHED + path.name)
    temporary.unlink(missing_ok=True)  # of a run that was killed
    try:
        with temporary.open("xb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
