"""The truth of each photo on disk: a manifest that is checked whenever it is read."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from pipelines.studio.photo_truth import (
    MASK_LABELS,
    PLUG_STEP,
    Corners,
    LightShare,
    PhotoTruth,
    PlugTruth,
    ReferenceTruth,
    StoredLight,
    Taken,
)
from pipelines.studio.truth_checks import (
    MOST_PLUGS,
    Fields,
    ManifestError,
    check_light,
    check_photo,
    check_plug,
    check_reference,
    check_stored,
    check_taken,
    keys_of,
)

__all__ = [
    "MASK_LABELS",
    "MOST_PLUGS",
    "PLUG_STEP",
    "Corners",
    "LightShare",
    "ManifestError",
    "PhotoTruth",
    "PlugTruth",
    "ReferenceTruth",
    "StoredLight",
    "Taken",
    "checked_lines",
    "read_manifest",
    "truth_from",
    "write_manifest",
]


def write_manifest(path: Path, photos: Sequence[PhotoTruth]) -> None:
    """One JSON object a line, in the order given."""
    text = "".join(json.dumps(asdict(photo)) + "\n" for photo in photos)
    path.write_text(text, encoding="utf-8")


def read_manifest(path: Path, check_files: bool = True) -> list[PhotoTruth]:
    """Read and check a manifest; photos and masks are looked for beside it.

    Raises ManifestError at the first line that does not hold, and when there is none.
    """
    out = []
    for line in checked_lines(path, check_files):
        if isinstance(line, ManifestError):
            raise line
        out.append(line)
    return out


def checked_lines(path: Path, check_files: bool = True) -> Iterator[PhotoTruth | ManifestError]:
    """Each line of a manifest in turn: the photo it tells of, or what is wrong with it.

    Raises ManifestError when the file holds no text or no line.
    """
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except UnicodeDecodeError as error:
        raise ManifestError(f"{path} is no text. Name the manifest.jsonl of a set.") from error
    if not lines:
        raise ManifestError(f"{path} lists no photo. Make the set again.")
    names: set[str] = set()
    for number, line in enumerate(lines, start=1):
        try:
            photo = _photo_of(line, f"{path.name}, line {number}")
            where = f"{path.name}, line {number} ({photo.file})"
            _check_names(photo, names, where, path.parent if check_files else None)
            yield photo
        except ManifestError as error:
            yield ManifestError(f"{error} Make the set again.")


def _photo_of(line: str, where: str) -> PhotoTruth:
    try:
        raw = json.loads(line)
    except json.JSONDecodeError as error:
        raise ManifestError(f"{where}: not JSON ({error.msg}).") from error
    named = raw.get("file") if isinstance(raw, dict) else None
    return truth_from(raw, f"{where} ({named})" if named and isinstance(named, str) else where)


def _check_names(photo: PhotoTruth, seen: set[str], where: str, folder: Path | None) -> None:
    """Refuse names that are in `seen`, to which they are added, and files not in `folder`."""
    chart = None if photo.stored_light is None else photo.stored_light.file
    for name in (photo.file, photo.mask, chart):
        if name is None:
            continue
        if name in seen and name != photo.mask:
            raise ManifestError(f"{where}: {name} is listed twice.")
        seen.add(name)
        if folder is not None and not (folder / name).is_file():
            what = " (the chart photo of its stored light)" if name == chart else ""
            raise ManifestError(f"{where}: {name}{what} is not beside the manifest.")


def truth_from(raw: Any, where: str) -> PhotoTruth:
    """Check what was read from JSON; `where` begins the message of the ManifestError raised."""
    photo = Fields(keys_of(raw, _names(PhotoTruth), where, "a line"), where)
    check_photo(photo)
    light = tuple(LightShare(**f.raw) for f in _inner(photo, "light", LightShare, check_light))
    total = sum(part.share for part in light)
    photo.hold(abs(total - 1) < 1e-3, "light", "shares that sum to 1")
    size, stored = raw["size"], raw["stored_light"]
    keys_of(raw["taken"], _names(Taken), where, "taken")
    check_taken(Fields(raw["taken"], where, "taken."))
    if stored is not None:
        keys_of(stored, _names(StoredLight), where, "stored_light")
        check_stored(Fields(stored, where, "stored_light."), raw["camera"])
    plugs = _inner(photo, "plugs", PlugTruth, lambda f: check_plug(f, size))
    references = _inner(photo, "references", ReferenceTruth, check_reference)
    return PhotoTruth(
        **{
            **raw,
            "size": tuple(size),
            "light": light,
            "taken": Taken(**raw["taken"]),
            "stored_light": None if stored is None else _stored(stored),
            "plugs": tuple(_plug(f.raw) for f in plugs),
            "references": tuple(_reference(f.raw) for f in references),
        }
    )


def _names(kind: type) -> list[str]:
    return [f.name for f in fields(kind)]


def _inner(photo: Fields, field: str, kind: type, check: Any) -> list[Fields]:
    out = []
    for k, raw in enumerate(photo.raw[field]):
        name = f"{field}[{k}]"
        inner = Fields(keys_of(raw, _names(kind), photo.where, name), photo.where, f"{name}.")
        check(inner)
        out.append(inner)
    return out


def _plug(raw: dict[str, Any]) -> PlugTruth:
    lab, box = raw["nose_lab"], raw["box"]
    return PlugTruth(
        **{
            **raw,
            "findings": tuple(raw["findings"]),
            "nose_lab": None if lab is None else tuple(lab),
            "box": None if box is None else tuple(box),
        }
    )


def _reference(raw: dict[str, Any]) -> ReferenceTruth:
    return ReferenceTruth(raw["kind"], _corners(raw["corners"]), tuple(raw["state"]))


def _stored(raw: dict[str, Any]) -> StoredLight:
    return StoredLight(raw["lamp"], raw["camera"], raw["file"], _corners(raw["corners"]))


def _corners(raw: Sequence[Sequence[float]]) -> Corners:
    return tuple((float(x), float(y)) for x, y in raw)
