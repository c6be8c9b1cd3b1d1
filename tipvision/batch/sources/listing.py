"""What there is to read: folders, globs, photos, list files and URLs, in a stream."""

import codecs
import glob
import os
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tipvision.batch.sources.belonging import belonging
from tipvision.batch.sources.folder import holds_batch, is_out, is_photo, stamp_of, walked
from tipvision.batch.sources.found import Found, ListingFault, PassedOver
from tipvision.batch.sources.shared import list_shared
from tipvision.batch.sources.storage import is_glob, is_url, path_or_url
from tipvision.photo.photo import STANDARD_INPUT

_Seen = tuple[str, str, str, int | None, str | None]  # name, path below, location, size, stamp


@dataclass(frozen=True)
class Asked:
    """What a batch is to read.

    sources: folders, globs, photos and URLs of those.
    lists:   files that name photos, one a line; "-" is standard input.
    pattern: see `belonging`.
    out:     the batch's own folder, never read.
    """

    sources: Sequence[str] = ()
    lists: Sequence[str] = ()
    pattern: re.Pattern[str] | None = None
    out: Path | None = None


def listed(asked: Asked, passed: PassedOver) -> Iterator[Found]:
    """Every photo that was asked for, source by source; within a folder in no order.

    In a folder only files with a photo's ending count (`folder.walked`); a file that is named is
    always handed on. A photo is called by its path below the folder where one folder alone was
    asked for, else by its path or URL. What is listed twice comes twice. Raises ListingFault for a
    source that is not there, at once where it is a local one (by its path or URL); StorageFault,
    while it goes on, for storage that does not answer.
    """
    asked = replace(asked, sources=[path_or_url(source) for source in asked.sources])
    for source in asked.sources:
        if not is_url(source):
            _check(source, asked.out)
    for file in asked.lists:
        if file != STANDARD_INPUT and not os.path.exists(file):  # noqa: PTH110  # no name raises
            raise ListingFault(f"{file} is not there. Give a file with one name a line.")
    return _all_listed(asked, passed)


def _check(source: str, out: Path | None) -> None:
    if os.path.isdir(source):  # noqa: PTH112
        if is_out(Path(source), out) or holds_batch(Path(source)):
            raise ListingFault(
                f"{source} is the folder of a batch, which is never read. Name the folder of the "
                "photos, and another one with --out."
            )
    elif not (is_glob(source) or os.path.exists(source)):  # noqa: PTH110
        raise ListingFault(f"{source} is not there. Give a folder, a glob, a photo or a URL.")


def _all_listed(asked: Asked, passed: PassedOver) -> Iterator[Found]:
    alone = len(asked.sources) == 1 and not asked.lists
    for place, source in enumerate(asked.sources):
        for seen in _of_source(source, alone, asked.out, passed):
            yield _found(seen, place, asked.pattern)
    names = (line for file in asked.lists for line in _lines(file))
    for place, name in enumerate(names, len(asked.sources)):
        size, stamp = (None, None) if is_url(name) else stamp_of(name)
        yield _found((name, _base(name), name, size, stamp), place, asked.pattern)


def _found(seen: _Seen, place: int, pattern: re.Pattern[str] | None) -> Found:
    name, below, location, size, stamp = seen
    machine, cylinder = belonging(name, below, pattern)
    return Found(name, place, location, size, stamp, machine, cylinder)


def _of_source(source: str, alone: bool, out: Path | None, passed: PassedOver) -> Iterator[_Seen]:
    if is_url(source):
        for below, url, size, stamp in list_shared(source, passed):
            yield below if alone and below else url, below or _base(url), url, size, stamp
    elif Path(source).is_dir():
        front = "" if alone else f"{Path(source).as_posix().rstrip('/')}/"
        for below, path in walked(Path(source), out, passed):
            yield f"{front}{below}", below, path, *stamp_of(path)
    elif Path(source).exists():
        yield _named(source)
    else:
        matches = glob.iglob(source, recursive=True)  # noqa: PTH207  # a Path takes no full pattern
        files = (one for one in matches if not os.path.isdir(one))  # noqa: PTH112
        photos = (one for one in files if is_photo(one, passed))
        first = next(photos, None)
        if first is None:
            raise ListingFault(f"No photo matches {source}. Check the pattern.")
        yield _named(first)
        yield from map(_named, photos)


def _named(path: str) -> _Seen:
    return Path(path).as_posix(), _base(path), path, *stamp_of(path)


def _base(name: str) -> str:
    return re.split(r"[/\\]", name)[-1]


def _lines(file: str) -> Iterator[str]:
    """Names in a list file, without empty lines."""
    if file == STANDARD_INPUT:
        yield from _names(sys.stdin.buffer if sys.stdin is not None else (), "standard input")
        return
    try:
        with Path(file).open("rb") as stream:
            yield from _names(stream, file)
    except OSError as error:
        fault = f"{file}: {error.strerror}. Give a file with one name a line."
        raise ListingFault(fault) from error


def _names(lines: Iterable[bytes], file: str) -> Iterator[str]:
    for line in lines:
        if b"\0" in line:  # no name has it; UTF-16 and a photo in place of a list do
            fault = f"{file} is no list. Give a text file in UTF-8 with one name a line."
            raise ListingFault(fault)
        if name := os.fsdecode(line.removeprefix(codecs.BOM_UTF8).rstrip(b"\r\n")):
            yield name
