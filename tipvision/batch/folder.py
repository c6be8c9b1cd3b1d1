"""Photos in a folder of this machine, one entry at a time: no list of all of them is ever held."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path, PurePath

from tipvision.batch.found import PassedOver
from tipvision.batch.out_folder import STORE_FILE
from tipvision.photo.kind import SUFFIXES


def walked(folder: Path, out: Path | None, passed: PassedOver) -> Iterator[tuple[str, str]]:
    """Photos below a folder, as (path below it with "/", path that opens it), in no order.

    Hidden files and folders, the folder `out`, folders that hold a batch, links to folders, and
    files without a photo's ending are passed over; the last are counted in `passed`.
    """
    own = None if out is None else os.path.realpath(out)
    waiting = [""]
    while waiting:
        below = waiting.pop()
        here = folder / below
        if os.path.realpath(here) == own or (here / STORE_FILE).exists():
            continue
        try:
            with os.scandir(here) as entries:
                for entry in entries:
                    inner = f"{below}/{entry.name}" if below else entry.name
                    if entry.name.startswith("."):
                        continue
                    if entry.is_dir(follow_symlinks=False):
                        waiting.append(inner)
                    elif entry.is_file() and is_photo(entry.name, passed):
                        yield inner, entry.path
        except OSError as error:
            passed.folder(str(here), error)


def is_photo(name: str, passed: PassedOver) -> bool:
    """Whether a file has a photo's ending; counted in `passed` where not."""
    if PurePath(name).suffix.lower() in SUFFIXES:
        return True
    passed.file(name)
    return False


def stamp_of(path: str) -> tuple[int | None, str | None]:
    """(size, stamp) of a file; nothing of one that is none or cannot be looked at."""
    try:
        seen = Path(path).stat()
    except (OSError, ValueError):
        return None, None
    if not stat.S_ISREG(seen.st_mode):
        return None, None
    return seen.st_size, f"{seen.st_size}:{seen.st_mtime_ns}"
