"""The cheap second stage: several photos from each stored render."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
from PIL import Image

from pipelines.studio.camera import (
    CameraSettings,
    Group,
    band_weights,
    develop_groups,
    meter,
    mixed,
)
from pipelines.studio.camera_sample import cropped, sample_settings
from pipelines.studio.framing import in_crop, kept
from pipelines.studio.sets import SETTINGS_FILE, SetError
from pipelines.studio.store import Linear, read_linear
from pipelines.studio.stored import ShotData, write_jpeg
from pipelines.studio.truth import PhotoTruth, write_manifest

VARIANTS = 64
"""At most so many photos of one render: their seeds are the render's times this, and on."""

CLOSEST = 1.8
"""How much closer than its render a photo comes at most; beyond, pixels show."""


def develop_set(folder: Path, out: Path, each: int, longest: int) -> list[PhotoTruth]:
    """Develop `each` photos of every render in `folder` into `out`, with masks and manifest.

    `longest` is the longer side of a photo in pixels. Raises SetError when the folder holds no
    renders, StoreError at a broken one.
    """
    files = sorted(folder.glob("*.npz"))
    if not files or not (folder / SETTINGS_FILE).exists():
        raise SetError(f"{folder} holds no renders. Make them with: render --look NAME --out DIR")
    (out / "masks").mkdir(parents=True, exist_ok=True)
    truths = []
    for path in files:
        linear = read_linear(path)
        for k in range(each):
            truths.append(develop_one(linear, out, f"{path.stem}-{k}", k, longest))
    write_manifest(out / "manifest.jsonl", truths)
    return truths


def develop_one(linear: Linear, out: Path, stem: str, k: int, longest: int) -> PhotoTruth:
    """Photo number `k` of a render: JPEG, mask, truth."""
    seed = linear.truth.seed * VARIANTS + k
    height, width = linear.mask.shape
    settings = sample_settings(seed, linear.cameras, linear.dim)
    box = kept(linear, seed)
    share = None if box is None else _closer(seed, max(box[2:]) / min(width, height))
    settings = cropped(settings, seed, (width, height), box, longest, share)
    shot = shot_of(seed)
    return write_one(linear, settings, shot, seed, out, stem)


def write_one(
    linear: Linear,
    settings: CameraSettings,
    shot: ShotData,
    seed: int,
    out: Path,
    stem: str,
    develop: Callable[
        [Sequence[Group], CameraSettings, int], npt.NDArray[np.uint8]
    ] = develop_groups,
) -> PhotoTruth:
    """Develop a render with settings that have a crop; store photo and mask; give the truth."""
    crop = settings.crop
    assert crop is not None
    pictures = [b.astype(np.float32) for b in linear.bands]
    groups = mixed(pictures, linear.lights, linear.second)
    settings = replace(settings, ev=settings.ev + _off_the_plug(linear, settings))
    shown = develop(groups, settings, seed)
    write_jpeg(out / f"{stem}.jpg", shown, shot, settings.jpeg, 10**9)
    known, mask = in_crop(linear.truth, linear.mask, crop)
    if known.plugs:
        name = f"masks/{stem}.png"
        Image.fromarray(mask).save(out / name, optimize=True)
        known = replace(known, mask=name)
    stored = known.stored_light
    return replace(
        known,
        file=f"{stem}.jpg",
        exif_orientation=shot.orientation,
        camera=settings.camera,
        white_balance=settings.white_balance,
        stored_light=None if stored is None else f"{stored}, camera {settings.camera}",
    )


def _closer(seed: int, share: float) -> float:
    """Share of the photo's shorter side for a firing end that takes `share` of the render's."""
    zoom = float(np.exp(np.random.default_rng([seed, 46]).uniform(0.0, np.log(CLOSEST))))
    return min(share * zoom, 0.8)


def _off_the_plug(linear: Linear, settings: CameraSettings) -> float:
    """Stops from an exposure metered on the whole picture to one metered beside the plug.

    A meter that sees a black or white plug makes the bench round it bright or dark: then the
    background would tell the condition, and a model learn to look there.
    """
    crop = settings.crop
    if crop is None or not linear.truth.plugs:
        return 0.0
    green = linear.bands[0].astype(np.float32) @ band_weights(settings.camera, linear.lights[0])
    lum = green[..., 1]
    beside = lum.copy()
    outside = linear.mask == 0
    window = np.s_[crop.top : crop.top + crop.height, crop.left : crop.left + crop.width]
    if not outside[window].any():
        return 0.0
    beside[~outside] = np.median(lum[window][outside[window]])
    return float(np.log2(meter(beside[window]) / meter(lum[window])))


def shot_of(seed: int) -> ShotData:
    """EXIF data of a photo."""
    rng = np.random.default_rng([seed, 45])
    return ShotData(
        taken=f"2026:{rng.integers(1, 13):02d}:{rng.integers(1, 29):02d} "
        f"{rng.integers(7, 19):02d}:{rng.integers(60):02d}:{rng.integers(60):02d}",
        exposure=(1, int(rng.choice([30, 60, 100, 125, 250]))),
        iso=int(rng.choice([50, 100, 200, 400, 800])),
        f_number=1.8,
        focal=5.4,
        auto_balance=True,
        flash=False,
        orientation=int(rng.choice([1, 6, 3, 8], p=[0.8, 0.12, 0.03, 0.05])),
    )
