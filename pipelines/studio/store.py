"""Linear renders on disk: one file each, whole or not there at all.

A file holds `bands` (groups, height, width, 16), float16 radiance of each group of lamps under
equal energy, a white surface in the main light at about 1; `mask` (height, width) uint8; what is
known of it as JSON text; and, where a stored light goes with it, `companion` (groups, rows,
columns, 16), the chart under the same lamps. Nothing in it is pickled.
"""

import json
import os
import zlib
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any
from zipfile import BadZipFile, ZipFile

import numpy as np
import numpy.typing as npt

from pipelines.studio.truth import ManifestError, PhotoTruth, truth_from

LARGEST = 6.0e4
"""Radiance that float16 still holds; no surface but a bare lamp comes near it."""

DAMAGE = (zlib.error, OSError, ValueError, KeyError, TypeError, EOFError, RuntimeError, BadZipFile)
"""What numpy and zipfile raise at a file of another kind or with bytes lost or changed."""


class StoreError(ValueError):
    """A stored render that cannot be used; the message names the file and what to do."""


@dataclass(frozen=True)
class Linear:
    """A render before any camera: picture, labels and truth.

    `lights` names the illuminant of each group; `second` is the second group's share of the light,
    `dim` stops of light missing, `cameras` those that may take it. `companion` is the picture of
    the chart, in the same unit, whose corners `truth.stored_light` tells; None without one.
    """

    bands: npt.NDArray[np.float16]
    mask: npt.NDArray[np.uint8]
    lights: tuple[str, ...]
    second: float
    dim: float
    cameras: tuple[str, ...]
    truth: PhotoTruth
    companion: npt.NDArray[np.float16] | None = None


def write_linear(path: Path, linear: Linear) -> None:
    """Write the file under another name beside it, then move it into place."""
    told = {
        "lights": linear.lights,
        "second": linear.second,
        "dim": linear.dim,
        "cameras": linear.cameras,
        "truth": asdict(linear.truth),
    }
    pictures = {"bands": linear.bands, "mask": linear.mask}
    if linear.companion is not None:
        pictures["companion"] = linear.companion
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            np.savez(file, told=np.array(json.dumps(told)), **pictures)  # type: ignore[arg-type]
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def whole(path: Path) -> bool:
    """Whether the file is a zip of a render's arrays whose check sums hold; its arrays are not
    looked into (`read_linear` does that)."""
    try:
        with ZipFile(path) as arrays:
            names = set(arrays.namelist())
            return names >= {"bands.npy", "mask.npy", "told.npy"} and arrays.testzip() is None
    except DAMAGE:
        return False


def read_linear(path: Path) -> Linear:
    """Read and check one file. Raises StoreError when it does not hold a render."""
    try:
        with np.load(path, allow_pickle=False) as arrays:
            bands, mask = arrays["bands"], arrays["mask"]
            companion = arrays.get("companion")
            told: dict[str, Any] = json.loads(str(arrays["told"]))
        known = truth_from(told["truth"], path.name)
        lights, cameras = tuple(told["lights"]), tuple(told["cameras"])
        second, dim = float(told["second"]), float(told["dim"])
    except ManifestError as error:
        raise StoreError(f"{error} Delete the file and render it again.") from error
    except DAMAGE as error:
        raise StoreError(
            f"{path} is damaged or no stored render. Delete it and render it again."
        ) from error
    if bands.dtype != np.float16 or bands.shape != (len(lights), *mask.shape, 16):
        raise StoreError(f"{path.name}: bands are {bands.dtype} {bands.shape}. Render it again.")
    if (companion is None) != (known.stored_light is None):
        raise StoreError(f"{path.name}: half a stored light. Render it again.")
    if companion is not None and (
        companion.dtype != np.float16
        or companion.ndim != 4
        or (companion.shape[0], companion.shape[3]) != (len(lights), 16)
    ):
        kind = f"{companion.dtype} {companion.shape}"
        raise StoreError(f"{path.name}: the chart's bands are {kind}. Render it again.")
    return Linear(bands, mask, lights, second, dim, cameras, known, companion)


def packed(groups: list[npt.NDArray[np.float32]]) -> npt.NDArray[np.float16]:
    """Pictures of the groups as they are stored."""
    return np.minimum(np.stack(groups), LARGEST).astype(np.float16)
