"""Photos on shared storage, by URL, through fsspec; each kind of storage has a package of its own.

fsspec lists one folder of the storage at a time, so that is what is held in memory.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from tipvision.batch.sources.folder import is_photo
from tipvision.batch.sources.found import ListingFault, PassedOver, StorageFault
from tipvision.batch.sources.storage import is_glob, storage_of
from tipvision.one_line import one_line

_TOLD = ("mtime", "LastModified", "last_modified", "updated", "created", "ETag", "etag")
"""Under these names the storages of fsspec tell that a file was written."""

Seen = tuple[str, str, int | None, str | None]


def list_shared(url: str, passed: PassedOver) -> Iterator[Seen]:
    """Photos at a URL of a folder, a glob or a photo, as (path below it, URL, size, stamp).

    Raises ListingFault where nothing is there, StorageFault where the storage does not answer.
    """
    storage, root = storage_of(url)
    root = root.rstrip("/")
    # what a path lacks of its URL: with some storages the host as well
    front = url.rstrip("/").removesuffix(root)
    try:
        if is_glob(root):
            yield from _matching(storage, root, front, passed)
        elif storage.isfile(root):
            yield _seen(storage.info(root), front, "")
        elif storage.isdir(root):
            yield from _below(storage, root, front, passed)
        else:
            raise ListingFault(f"{url} is not there. Check the URL.")
    except ListingFault:
        raise
    except Exception as error:  # storages raise errors of their own packages
        raise StorageFault(
            f"{url}: the storage does not answer: {one_line(error)}. "
            "The same command goes on later."
        ) from error


def _matching(storage: Any, root: str, front: str, passed: PassedOver) -> Iterator[Seen]:
    matches: Mapping[str, Any] = storage.glob(root, detail=True)
    photos = [
        one for one in matches.values() if one["type"] == "file" and is_photo(one["name"], passed)
    ]
    if not photos:
        raise ListingFault(f"No photo matches {front}{root}. Check the pattern.")
    yield from (_seen(one, front, "") for one in photos)


def _below(storage: Any, root: str, front: str, passed: PassedOver) -> Iterator[Seen]:
    waiting = [root]
    while waiting:
        here = waiting.pop()
        try:
            inside = storage.ls(here, detail=True)
        except OSError as error:
            passed.folder(here, error)
            continue
        for told in inside:
            path = str(told["name"]).rstrip("/")
            name = path.rsplit("/", 1)[-1]
            if name.startswith(".") or path == here.rstrip("/"):  # some list the folder in itself
                continue
            if told["type"] == "directory":
                waiting.append(path)
            elif is_photo(name, passed):
                yield _seen(told, front, path[len(root) + 1 :])


def _seen(told: Mapping[str, Any], front: str, below: str) -> Seen:
    size = told.get("size")
    told_time = next((told[key] for key in _TOLD if told.get(key) is not None), None)
    stamp = None if told_time is None or size is None else f"{size}:{told_time}"
    return below, f"{front}{told['name']}", size, stamp
