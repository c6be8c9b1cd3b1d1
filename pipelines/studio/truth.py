"""The truth of each photo: masks, and a manifest that is checked whenever it is read."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

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
    "LightShare",
    "ManifestError",
    "PhotoTruth",
    "PlugTruth",
    "ReferenceTruth",
    "StoredLight",
    "Taken",
    "read_manifest",
    "truth_from",
    "write_manifest",
]

MASK_LABELS = {
    0: "none of these",
    1: "nose",
    2: "nose, in glare",
    3: "nose, more than 3 mm below the rim",
    4: "centre electrode",
    5: "strap",
    6: "shell, gasket and hexagon",
    7: "upper insulator and terminal",
}
"""Parts in a mask, an 8-bit picture in the displayed frame: `mask & 7`. 1 and 2 together are the
nose. `mask >> 3` is the plug's place in `PhotoTruth.plugs`; a number past its end is a plug whose
firing end is out of the picture."""

PLUG_STEP = 8

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class LightShare:
    """An illuminant and its share of the light on the subject; the shares sum to 1."""

    illuminant: str
    share: float


@dataclass(frozen=True)
class PlugTruth:
    """What is known of one plug. Pixels are those of the photo as displayed.

    `shares` is how much of each condition it is (they sum to 1); `nose_lab` CIELAB under D65/2° of
    the mean reflectance, gloss excluded, over the nose that shows above 3 mm below the rim; `shine`
    the share of that nose under a wet or glazed film (both null where no nose shows); `nose_px` the
    nose's width across; `px_per_mm` the scale at the nose; `gap_mm` null where a strap is gone or
    bent away; `palette` null for the demo's; `box` left, top, width and height of what shows of
    nose, electrode, strap and shell, null where nothing does.
    """

    condition: str | None
    shares: dict[str, float]
    findings: tuple[str, ...]
    view: str
    view_degrees: float
    nose_lab: tuple[float, float, float] | None
    shine: float | None
    nose_px: float
    px_per_mm: float
    gap_mm: float | None
    family: str
    palette: str | None
    box: tuple[int, int, int, int] | None


@dataclass(frozen=True)
class ReferenceTruth:
    """A chart, grey card, bench card or a look-alike of one in the photo.

    `corners` top left, top right, bottom right, bottom left as it is read, in pixels of the photo
    as displayed (beyond its edges where it is cut off); `state` is whole or cut_off, and tilted,
    shaded, covered (in part by the subject) where it is.
    """

    kind: str
    corners: Corners
    state: tuple[str, ...]


@dataclass(frozen=True)
class StoredLight:
    """The photo of the chart that a shop stored for its lamp, taken before this one.

    `lamp` and `camera` are those of both photos, and so are tone curve and white balance; the
    exposures differ as their EXIF says. `file` lies beside the manifest; `corners` of the chart in
    its pixels as displayed: top left, top right, bottom right, bottom left as it is read.
    """

    lamp: str
    camera: str
    file: str
    corners: Corners


@dataclass(frozen=True)
class Taken:
    """How the camera took the photo: `ev` stops beside its meter, `blur_px` the widest smear of
    lens, focus and motion in pixels of the photo, `local_tone` 0 to 1 how far large bright and dark
    areas were drawn together, `jpeg` quality."""

    ev: float
    blur_px: float
    local_tone: float
    jpeg: int


@dataclass(frozen=True)
class PhotoTruth:
    """What is known of one photo. `stored_light` is null where no chart photo goes with it."""

    file: str
    seed: int
    size: tuple[int, int]
    exif_orientation: int
    camera: str
    light: tuple[LightShare, ...]
    white_balance: str
    taken: Taken
    stored_light: StoredLight | None
    plugs: tuple[PlugTruth, ...]
    references: tuple[ReferenceTruth, ...]
    mask: str | None

    @property
    def plug(self) -> PlugTruth | None:
        """The first plug, or None."""
        return self.plugs[0] if self.plugs else None

    def corners_of(self, kind: str) -> Corners | None:
        """Corners of the first reference of that kind, or None."""
        return next((r.corners for r in self.references if r.kind == kind), None)


def write_manifest(path: Path, photos: Sequence[PhotoTruth]) -> None:
    """One JSON object a line, in the order given."""
    text = "".join(json.dumps(asdict(photo)) + "\n" for photo in photos)
    path.write_text(text, encoding="utf-8")


def read_manifest(path: Path, check_files: bool = True) -> list[PhotoTruth]:
    """Read and check a manifest; photos and masks are looked for beside it.

    Raises ManifestError at the first line that does not hold.
    """
    out: list[PhotoTruth] = []
    names: set[str] = set()
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        where = f"{path.name}, line {number}"
        try:
            raw = json.loads(line)
        except json.JSONDecodeError as error:
            raise ManifestError(f"{where}: not JSON ({error.msg}). Make the set again.") from error
        photo = truth_from(raw, where)
        chart = None if photo.stored_light is None else photo.stored_light.file
        for name in (photo.file, photo.mask, chart):
            if name is None:
                continue
            if name in names and name != photo.mask:
                raise ManifestError(f"{where}: {name} is listed twice. Make the set again.")
            names.add(name)
            if check_files and not (path.parent / name).is_file():
                what = " (the chart photo of its stored light)" if name == chart else ""
                raise ManifestError(
                    f"{where}: {name}{what} is not beside the manifest. Make the set again."
                )
        out.append(photo)
    return out


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
