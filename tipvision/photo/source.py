"""Where a photo's bytes come from, and how many of them are taken: none without a bound."""

import io
import os
import sys
from pathlib import Path
from typing import IO

from tipvision.photo.fault import PhotoFault

STANDARD_INPUT = "-"
MOST_BYTES = 400_000_000  # a photo of 100 megapixels, four channels, uncompressed
HELD_BYTES = 16_000_000  # a larger file stays on its disk and is read where it lies


def stream_of(name: str) -> IO[bytes]:
    """The bytes of the file at path `name` ("-" is standard input), from their beginning.

    Raises PhotoFault when there is no such file, it cannot be opened, is no ordinary file, or has
    more than `MOST_BYTES`.
    """
    if name == STANDARD_INPUT:
        return held(b"" if sys.stdin is None else sys.stdin.buffer.read(MOST_BYTES + 1))
    path = Path(name)
    if not name:
        raise PhotoFault("No file is named.", "Give the name of a photo.")
    if os.path.isdir(path):  # noqa: PTH112 (unlike Path.is_dir, it never raises)
        raise PhotoFault("This is a folder, not a photo.", "Name the photos in it.")
    if os.path.exists(path) and not os.path.isfile(path):  # noqa: PTH110, PTH113
        raise PhotoFault("This is a device or pipe, not a photo.", "Name a photo file.")
    try:
        stream = path.open("rb")
        length = os.fstat(stream.fileno()).st_size
        if length > HELD_BYTES:
            return _bounded(stream)
        with stream:
            return held(_all_of(stream, length))
    except FileNotFoundError as error:
        raise PhotoFault("There is no such file.", "Check the name and the folder.") from error
    except (OSError, ValueError) as error:
        fault = getattr(error, "strerror", None) or str(error)
        raise PhotoFault(f"The file cannot be opened: {fault}.", "Check its rights.") from error


def held(content: bytes) -> io.BytesIO:
    """The bytes of a photo as a stream; raises PhotoFault for more than `MOST_BYTES` of them."""
    if len(content) > MOST_BYTES:
        raise _too_many_bytes()
    return io.BytesIO(content)


def length_of(stream: IO[bytes]) -> int:
    """Bytes in a stream; its place is its beginning then."""
    length = stream.seek(0, io.SEEK_END)
    stream.seek(0)
    return length


def _all_of(stream: IO[bytes], length: int) -> bytes:
    """The bytes of a file said to have so many. Some systems say 0 of files that have more, and one
    may grow: the bound is only asked for then, as room for all of it is made at once."""
    content = stream.read(length + 1)
    return content if len(content) <= length else content + stream.read(MOST_BYTES + 1)


def _bounded(stream: IO[bytes]) -> IO[bytes]:
    if length_of(stream) > MOST_BYTES:
        stream.close()
        raise _too_many_bytes()
    return stream


def _too_many_bytes() -> PhotoFault:
    return PhotoFault(
        f"The file has more than {MOST_BYTES // 10**6} million bytes.", "Export it smaller."
    )
