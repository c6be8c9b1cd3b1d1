"""Whether a set of photos holds: its manifest, and every photo and mask that the manifest names."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import ImageOps

from pipelines.studio.labels import Labels, box_of, shows_nose
from pipelines.studio.picture_files import PictureError, read_picture
from pipelines.studio.truth import (
    MOST_PLUGS,
    PLUG_STEP,
    ManifestError,
    PhotoTruth,
    checked_lines,
)

SHOWN = 10
"""Faults that are told in full; of the others only how many there are."""

ORIENTATION = 0x0112

REMEDY = "Make the set again."


@dataclass(frozen=True)
class Checked:
    """How many photos a manifest lists, how many of them have a plug, and a line for each fault."""

    photos: int
    with_plug: int
    faults: tuple[str, ...]

    def told(self) -> str:
        """The verdict, for the terminal."""
        if not self.faults:
            return f"{self.photos} photos, {self.with_plug} with a plug: the manifest holds"
        many = len(self.faults)
        shown = f", the first {SHOWN} of them above" if many > SHOWN else ""
        faults = "1 fault" if many == 1 else f"{many} faults"
        last = f"{faults} in {self.photos} photos{shown}: the manifest does not hold"
        return "\n".join([*self.faults[:SHOWN], last])


def check_set(manifest: Path) -> Checked:
    """Read a manifest and every file it names.

    Raises ManifestError when it is no manifest at all or lists nothing, OSError when it cannot be
    opened; what is wrong with a line or its files is among the faults.
    """
    photos, with_plug, faults = 0, 0, []
    for line in checked_lines(manifest, check_files=False):
        photos += 1
        if isinstance(line, ManifestError):
            faults.append(str(line))
            continue
        with_plug += line.plug is not None
        faults += photo_faults(line, manifest.parent)
    return Checked(photos, with_plug, tuple(faults))


def photo_faults(photo: PhotoTruth, folder: Path) -> list[str]:
    """A line for each way in which the files of a photo in `folder` belie what is said of it."""
    checks = (_of_photo, _of_mask, _of_chart)
    return [f"{photo.file}: {fault} {REMEDY}" for of in checks for fault in of(photo, folder)]


def _of_photo(photo: PhotoTruth, folder: Path) -> Iterator[str]:
    try:
        stored = read_picture(folder / photo.file)
    except PictureError as error:
        yield f"{error}."
        return
    turn = stored.getexif().get(ORIENTATION, 1)
    if turn != photo.exif_orientation:
        yield f"its EXIF orientation is {turn}, the manifest says {photo.exif_orientation}."
    size = ImageOps.exif_transpose(stored).size
    if size != photo.size:
        yield f"it shows {_pixels(size)}, the manifest says {_pixels(photo.size)}."


def _of_mask(photo: PhotoTruth, folder: Path) -> Iterator[str]:
    if photo.mask is None:
        return
    try:
        stored = read_picture(folder / photo.mask)
    except PictureError as error:
        yield f"its mask {error}."
        return
    if stored.mode != "L":
        yield f"its mask {photo.mask} is no 8-bit grey picture."
        return
    if stored.size != photo.size:
        yield f"its mask {photo.mask} has {_pixels(stored.size)}, not {_pixels(photo.size)}."
    mask: Labels = np.asarray(stored)
    if wrong := [int(v) for v in np.unique(mask) if not _valid(int(v))]:
        yield (
            f"its mask {photo.mask} holds {wrong[0]}, which is not part + {PLUG_STEP} × plug with "
            f"parts 1 to {PLUG_STEP - 1} and plugs 0 to {MOST_PLUGS - 1}."
        )
    for k, plug in enumerate(photo.plugs):
        nose = shows_nose(mask, k)
        if nose != (plug.nose_lab is not None):
            seen = "shows" if nose else "shows no"
            said = "null" if plug.nose_lab is None else "given"
            yield f"plugs[{k}].nose_lab is {said}, but the mask {seen} nose of that plug."
        if plug.box != (box := box_of(mask, k)):
            yield f"plugs[{k}].box is {plug.box}, but {box} by the mask."


def _of_chart(photo: PhotoTruth, folder: Path) -> Iterator[str]:
    light = photo.stored_light
    if light is None:
        return
    try:
        width, height = ImageOps.exif_transpose(read_picture(folder / light.file)).size
    except PictureError as error:
        yield f"the chart photo of its stored light {error}."
        return
    if any(x > width or y > height for x, y in light.corners):
        yield f"stored_light.corners lie beyond {light.file}, {_pixels((width, height))}."


def _valid(value: int) -> bool:
    return value == 0 or (value % PLUG_STEP > 0 and value // PLUG_STEP < MOST_PLUGS)


def _pixels(size: tuple[int, int]) -> str:
    return f"{size[0]} × {size[1]} pixels"
