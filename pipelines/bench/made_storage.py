"""Shared storage whose photos are made as they are read: any number of them on no disk.

`made://KIND/COUNT` holds so many photos in folders of `IN_A_FOLDER`. KIND is "distinct" (whole
photos, each another file) or "mutated" (`mutations.mutated`). The number in a photo's name is all
that makes it, so the same name is the same file in every process.
"""

import io
from typing import Any

import fsspec
from fsspec.spec import AbstractFileSystem

from pipelines.bench.batch_photos import distinct, large_pictures
from pipelines.bench.mutations import ending, mutated

IN_A_FOLDER = 1000
WRITTEN = "2026-05-01"


class MadeStorage(AbstractFileSystem):  # type: ignore[misc]  # fsspec has no types
    """The storage, for fsspec."""

    protocol = "made"
    cachable = True

    def ls(self, path: str, detail: bool = True, **_: Any) -> list[Any]:
        """Folders of a set, or photos of a folder."""
        kind, count, *folder = self._strip_protocol(path).strip("/").split("/")
        top = f"{kind}/{count}"
        if folder:
            first = int(folder[0]) * IN_A_FOLDER
            numbers = range(first, min(first + IN_A_FOLDER, int(count)))
            found = [self._photo(f"{top}/{folder[0]}", kind, number) for number in numbers]
        else:
            folders = range(-(-int(count) // IN_A_FOLDER))
            found = [{"name": f"{top}/{k:05}", "type": "directory", "size": 0} for k in folders]
        return found if detail else [one["name"] for one in found]

    def info(self, path: str, **_: Any) -> dict[str, Any]:
        """Of a set or a folder of it; photos are told by `ls`."""
        return {"name": self._strip_protocol(path), "type": "directory", "size": 0}

    def _photo(self, folder: str, kind: str, number: int) -> dict[str, Any]:
        suffix = "jpg" if kind == "distinct" else ending(number)
        name = f"{folder}/{number:07}.{suffix}"
        return {"name": name, "type": "file", "size": 1, "mtime": WRITTEN}

    def _open(self, path: str, mode: str = "rb", **_: Any) -> io.BytesIO:
        assert mode == "rb"
        kind, *_between, name = self._strip_protocol(path).split("/")
        number = int(name.partition(".")[0])
        if kind == "mutated":
            return io.BytesIO(mutated(number))
        whole = large_pictures()
        return io.BytesIO(distinct(whole[number % len(whole)], number))


def register() -> None:
    """Let fsspec know `made://`."""
    fsspec.register_implementation("made", MadeStorage, clobber=True)
