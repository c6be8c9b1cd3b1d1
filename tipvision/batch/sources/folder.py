"""Photos in a folder of this machine, one entry at a time: no list of all of them is ever held."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path, PurePath

from tipvision.batch.sources.found import PassedOver
from tipvision.batch.store.out_folder import STORE_FILE
from tipvision.photo.kind import SUFFIXES

LINKS, BATCHES = "link to a folder", "folder of a batch"


def walked(folder: Path, out: Path | None, passed: PassedOver) -> Iterator[tuple[str, str]]:
    """Photos below a folder, as (path below it with "/", path that opens it), in no order.

    Hidden files and folders and the folder `out` are left out; folders that hold a batch, links to
    folders and files without a photo's ending are counted in `passed`. A link that leads nowhere
    and a pipe are handed on by their names like photos, so that whoever opens them says why not.
    """
    waiting = [""]
    while waiting:
        below = waiting.pop()
        here = folder / below
        if is_out(here, out):
            continue
        if below and holds_batch(here):
            passed.files[BATCHES] += 1
            continue
        try:
            with os.scandir(here) as entries:
                for entry in entries:
                    inner = f"{below}/{entry.name}" if below else entry.name
                    if entry.name.startswith("."):
                        continue
                    if entry.is_dir(follow_symlinks=False):
                        waiting.append(inner)
                    elif entry.is_symlink() and os.path.isdir(entry.path):  # noqa: PTH112
                        passed.files[LINKS] += 1
                    elif is_photo(entry.name, passed):
                        yield inner, entry.path
        except OSError as error:
            passed.folder(str(here), error)


def is_out(folder: Path, out: Path | None) -> bool:
    """Whether a folder is the one that the batch writes to, by whatever name."""
    return out is not None and os.path.realpath(folder) == os.path.realpath(out)


def holds_batch(folder: Path) -> bool:
    """Whether a batch was written to a folder; False also where that cannot be seen."""
    return os.path.exists(folder / STORE_FILE)  # noqa: PTH110


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
