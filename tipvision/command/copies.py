"""Photos that were named more than once: two copies of one file are no second witness."""

import hashlib
from collections.abc import Sequence
from pathlib import Path

Copy = tuple[str, str]  # name of a photo, and of the one before it with the same bytes


def once_each(names: Sequence[str]) -> tuple[tuple[str, ...], tuple[Copy, ...]]:
    """The photos without copies, in the order given, and the copies.

    What is no file or cannot be read is told apart by its name alone.
    """
    first: dict[str, str] = {}
    copies: list[Copy] = []
    for name in names:
        content = _content(name)
        if content in first:
            copies.append((name, first[content]))
        else:
            first[content] = name
    return tuple(first.values()), tuple(copies)


def _content(name: str) -> str:
    """What files of the same bytes have in common, and no others."""
    path = Path(name)
    try:
        if path.is_file():  # no pipe: it could be read only once
            with path.open("rb") as file:
                return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):  # said when it is opened as a photo
        pass
    return f"name {name}"
