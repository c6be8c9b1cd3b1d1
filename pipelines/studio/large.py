"""Photos of 8 to 48 megapixels for tests of size: stored renders, developed at full size.

Noise, sharpening and JPEG are those of the full size. The picture under them is a small render made
large, so that there is no finer detail in it than there was: these photos test memory, time and
orientation, not reading.
"""

import resource
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt

from pipelines.studio.camera import (
    CameraSettings,
    Crop,
    Exposure,
    Group,
    develop_groups,
    metered,
)
from pipelines.studio.camera_sample import sample_settings
from pipelines.studio.developing import VARIANTS, shot_of, write_one
from pipelines.studio.framing import Box, kept
from pipelines.studio.sets import SetError
from pipelines.studio.store import read_linear
from pipelines.studio.truth import PhotoTruth, write_manifest

COUNT = 40
MEGAPIXELS = (8.1, 47.5)
"""Of what is asked for; photos come out up to 1 % off, see `window`."""
ASPECTS = (4 / 3, 3 / 2, 16 / 9, 1.0)
ORIENTATIONS = (1, 6, 3, 8)
QUALITY = 88
"""Least JPEG quality: cameras of this size do not save on it (our estimate)."""

STRIP, MARGIN = 24, 2
"""Rows of the render developed at a time, and more on either side for blurs to reach into."""


@dataclass(frozen=True)
class Size:
    """A photo's size as displayed, and the EXIF orientation it is stored with."""

    width: int
    height: int
    orientation: int


def sizes(count: int = COUNT, megapixels: tuple[float, float] = MEGAPIXELS) -> list[Size]:
    """Sizes in even steps of the logarithm from the least to the greatest number of megapixels.

    Aspects and orientations take turns, so that each meets each; every second round is upright.
    """
    out = []
    for k, area in enumerate(1e6 * np.geomspace(*megapixels, count)):
        aspect = ASPECTS[k % 4]
        turn = k // 4
        short = float(np.sqrt(area / aspect))
        wide, high = round(short * aspect), round(short)
        if turn % 2:
            wide, high = high, wide
        out.append(Size(wide, high, ORIENTATIONS[(k + turn) % 4]))
    return out


def make_large(renders: Path, out: Path, wanted: list[Size]) -> list[PhotoTruth]:
    """Make the photos, one at a time, with masks and manifest; print each with the peak of memory.

    Raises SetError when the folder holds no renders or too few to give each photo its own seed.
    """
    files = sorted(renders.glob("*.npz"))
    if len(files) * VARIANTS < len(wanted):
        raise SetError(f"{renders} holds {len(files)} renders; make some with: render --look NAME")
    (out / "masks").mkdir(parents=True, exist_ok=True)
    truths = []
    for k, size in enumerate(wanted):
        linear = read_linear(files[k % len(files)])
        # Seeds from the far end: photos of a set begin at the near one.
        seed = linear.truth.seed * VARIANTS + VARIANTS - 1 - k // len(files)
        settings = sample_settings(seed, linear.cameras, linear.dim)
        crop = window(linear.mask.shape, kept(linear, seed), size)
        shot = replace(shot_of(seed), orientation=size.orientation)
        stem = f"large-{k:02d}"
        jpeg = max(settings.jpeg, QUALITY)
        settings = replace(settings, crop=crop, smooth=0.0, falloff=0.0, local=0.0, jpeg=jpeg)
        truths.append(write_one(linear, settings, shot, seed, out, stem, in_strips))
        print(
            f"{stem}.jpg: {crop.out_width} × {crop.out_height}, "
            f"{crop.out_width * crop.out_height / 1e6:.1f} MP, "
            f"{(out / f'{stem}.jpg').stat().st_size / 1e6:.1f} MB; memory's peak so far "
            f"{peak():.0f} MB",
            flush=True,
        )
    write_manifest(out / "manifest.jsonl", truths)
    return truths


def window(shape: tuple[int, ...], box: Box | None, size: Size) -> Crop:
    """A window of a render (rows, columns) with the photo's aspect, about the box.

    It is as large as can be with a whole number of the photo's pixels to one of the render's, and
    the photo's size is rounded up to that.
    """
    high, wide = shape[:2]
    zoom = int(np.ceil(max(size.width / wide, size.height / high)))
    across, down = -(-size.width // zoom), -(-size.height // zoom)
    x, y = (wide / 2, high / 2) if box is None else (box[0] + box[2] / 2, box[1] + box[3] / 2)
    left = int(np.clip(round(x - across / 2), 0, wide - across))
    top = int(np.clip(round(y - down / 2), 0, high - down))
    return Crop(left, top, across, down, across * zoom, down * zoom)


def in_strips(
    groups: Sequence[Group],
    settings: CameraSettings,
    seed: int,
    exposure: Exposure | None = None,
) -> npt.NDArray[np.uint8]:
    """`camera.develop_groups` strip by strip, all exposed as the whole is, to bound memory.

    For settings without falloff and local tone mapping, which look at the whole picture, and
    without smoothing, which looks past a strip's edge; its crop's zoom must be a whole number
    (`window`).
    """
    crop = settings.crop
    assert crop is not None and settings.falloff == settings.local == settings.smooth == 0
    zoom = crop.out_width // crop.width
    whole = metered(groups, settings) if exposure is None else exposure
    rows_there = groups[0].bands.shape[0]
    out = np.empty((crop.out_height, crop.out_width, 3), np.uint8)
    for first in range(0, crop.height, STRIP):
        rows = min(STRIP, crop.height - first)
        top = max(0, crop.top + first - MARGIN)
        bottom = min(rows_there, crop.top + first + rows + MARGIN)
        part = replace(crop, top=top, height=bottom - top, out_height=(bottom - top) * zoom)
        shown = develop_groups(groups, replace(settings, crop=part), seed * 1000 + first, whole)
        skip = (crop.top + first - top) * zoom
        out[first * zoom : (first + rows) * zoom] = shown[skip : skip + rows * zoom]
    return out


def peak() -> float:
    """The most memory this process has held so far, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
