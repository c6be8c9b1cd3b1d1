"""The folder that a batch writes to, and the lock that keeps a second run out of it."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tipvision.batch.sources.storage import path_or_url

STORE_FILE = "batch.sqlite"
LOCK_FILE = "batch.lock"
BESIDE = "-readings"
ELSEWHERE = "tipvision-batch"


class OutFault(OSError):
    """The folder cannot be used; one line says which, why and what to do."""


def usual_out(sources: Sequence[str]) -> Path:
    """Beside the one folder that is read, with its name and `BESIDE`; else `ELSEWHERE` in the
    current folder.

    Raises ListingFault for a URL that fsspec refuses.
    """
    if len(sources) == 1 and (local := Path(path_or_url(sources[0]))).is_dir():
        folder = local.resolve()
        if folder.name:
            return folder.with_name(folder.name + BESIDE)
    return Path(ELSEWHERE)


@contextmanager
def locked(out: Path) -> Iterator[None]:
    """Keep other runs out of the folder; the system lets go of the lock when this process ends.

    Raises OutFault where another run holds it.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(out / LOCK_FILE)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise OutFault(
            f"Another run writes to {out}. Wait for it, or give another folder with --out."
        ) from None
    try:
        yield
    finally:
        lock.release()
