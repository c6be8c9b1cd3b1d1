"""What a name stands for: a path of this machine, or a URL and the storage that it names."""

import re
from typing import Any

from tipvision.batch.sources.found import ListingFault
from tipvision.one_line import one_line

_LOCAL = "file://"
_URL = re.compile(r"[A-Za-z][A-Za-z0-9+.-]+://")
_MAGIC = re.compile(r"[*?[]")


def is_url(name: str) -> bool:
    """Whether a name is a URL and not a path."""
    return _URL.match(name) is not None


def is_glob(name: str) -> bool:
    """Whether a path, of this machine or of a storage, is a pattern for several."""
    return _MAGIC.search(name) is not None


def storage_of(url: str) -> tuple[Any, str]:
    """The fsspec file system of a URL and the path in it.

    Raises ListingFault, with the remedy, where its kind is unknown, its package is not installed,
    or it refuses the URL.
    """
    from fsspec.core import url_to_fs  # only who reads from shared storage waits for it

    if "::" in url:
        raise ListingFault(f"{url} names storage within storage, which is not read. Unpack it.")
    try:
        storage, path = url_to_fs(url)
    except ImportError as error:
        fault = f"{url}: its storage needs another package: {one_line(error)}."
        raise ListingFault(fault) from error
    except (ValueError, OSError) as error:
        raise ListingFault(f"{url}: {one_line(error)}. Check the URL.") from error
    return storage, str(path)


def in_this_process(storage: Any) -> bool:
    """Whether the storage is this process's own memory, so that a worker cannot open it."""
    kinds = storage.protocol
    return "memory" in ((kinds,) if isinstance(kinds, str) else kinds)


def path_or_url(source: str) -> str:
    """A local source by its path, however it was given.

    Raises ListingFault for a URL that fsspec refuses.
    """
    return storage_of(source)[1] if source.startswith(_LOCAL) else source
