"""The cheap second stage: several photos from each stored render."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt
from PIL import Image

from pipelines.studio.camera import (
    CameraSettings,
    Crop,
    Exposure,
    Group,
    develop_groups,
    mixed,
)
from pipelines.studio.camera_sample import ENLARGED, cropped, sample_settings
from pipelines.studio.camera_web import sample_web, worked_over
from pipelines.studio.chart_shot import write_chart
from pipelines.studio.framing import Box, in_crop, kept, largest_nose
from pipelines.studio.known import taken_with
from pipelines.studio.looks.look import look_of
from pipelines.studio.metering import metered_beside
from pipelines.studio.other_metal import metal_gain
from pipelines.studio.pool import spread
from pipelines.studio.sets import SETTINGS_FILE, SetError
from pipelines.studio.store import LARGEST, Linear, read_linear
from pipelines.studio.stored import ShotData, write_jpeg
from pipelines.studio.truth import PhotoTruth, write_manifest

VARIANTS = 64
"""At most so many photos of one render: their seeds are the render's times this, and on."""

CLOSEST = 1.8
"""How much closer than its render a photo comes at most; to a small nose further (`ENLARGED`)."""

CLEAR = (13.0, 26.0)
"""Pixels of a small nose across in most photos, where the render and a reference leave the room."""

LARGER = 1.6
"""How many times `longest` a photo gets where nothing else makes a small nose clear."""

NOSES_AT = 512
"""Longer side in pixels of the photos for which a look's `framing.noses` are meant."""

LEFT_TINY = 0.08
"""Share of the photos with a small nose that do not come closer for its sake: such are refused, and
refusals need photos too."""


def develop_set(
    folder: Path, out: Path, each: int, longest: int, workers: int = 1
) -> list[PhotoTruth]:
    """Develop `each` photos of every render in `folder` into `out`, with masks and manifest.

    `longest` is the longer side of a photo in pixels (up to `LARGER` times that where a card must
    stay whole beside a small nose). Raises SetError when the folder holds no
    renders, StoreError at a broken one.
    """
    files = sorted(folder.glob("*.npz"))
    if not files or not (folder / SETTINGS_FILE).exists():
        raise SetError(f"{folder} holds no renders. Make them with: render --look NAME --out DIR")
    if out.exists() and any(out.iterdir()):
        raise SetError(f"{out} is not empty. Name another folder, or empty it first.")
    (out / "masks").mkdir(parents=True, exist_ok=True)
    work = partial(_developed, out=out, each=each, longest=longest)
    done = dict(spread(work, files, workers))
    truths = [truth for path in files for truth in done[path]]
    write_manifest(out / "manifest.jsonl", truths)
    return truths


def _developed(path: Path, out: Path, each: int, longest: int) -> tuple[Path, list[PhotoTruth]]:
    """The photos of one render."""
    linear = read_linear(path)
    return path, [develop_one(linear, out, f"{path.stem}-{k}", k, longest) for k in range(each)]


def develop_one(linear: Linear, out: Path, stem: str, k: int, longest: int) -> PhotoTruth:
    """Photo number `k` of a render: JPEG, mask, truth."""
    seed = linear.truth.seed * VARIANTS + k
    of = look_of(linear.truth.seed)
    height, width = linear.mask.shape
    settings = sample_settings(seed, linear.cameras, linear.dim)
    noses, apart, web, metal = ((), 0.0, 0.0, 0.0)
    if of is not None:
        noses, apart, web, metal = of.framing.noses, of.framing.apart, of.web, of.other_metal
    if np.random.default_rng([seed, 69]).random() < metal:
        linear = of_other_metal(linear, seed)
    box = kept(linear, seed, references=not _apart(seed, apart))
    share = None if box is None else closer_share(linear, box, seed, longest, noses)
    settings = cropped(settings, seed, (width, height), box, longest, share)
    if box is not None and settings.crop is not None and not noses and not _left_tiny(seed):
        settings = replace(settings, crop=grown(settings.crop, largest_nose(linear, box)))
    return write_one(linear, settings, shot_of(seed), seed, out, stem, web=web)


def write_one(
    linear: Linear,
    settings: CameraSettings,
    shot: ShotData,
    seed: int,
    out: Path,
    stem: str,
    develop: Callable[
        [Sequence[Group], CameraSettings, int, Exposure], npt.NDArray[np.uint8]
    ] = develop_groups,
    web: float = 0.0,
) -> PhotoTruth:
    """Develop a render with settings that have a crop; store photo and mask; give the truth.

    `web` is the chance that a photo without a reference is worked over (`camera_web`).

    Where a stored light goes with it, the photo of its chart is stored too, as `STEM.light.jpg`,
    and both are taken with a camera set by hand.
    """
    crop = settings.crop
    assert crop is not None
    taken = taken_with(settings)
    pictures = [b.astype(np.float32) for b in linear.bands]
    groups = mixed(pictures, linear.lights, linear.second)
    exposure = metered_beside(linear, groups, settings)
    if linear.companion is not None:
        shot = replace(shot, auto_balance=False)
    shown = develop(groups, settings, seed, exposure)
    known, mask = in_crop(linear.truth, linear.mask, crop)
    alone = linear.companion is None and not known.references
    if alone and np.random.default_rng([seed, 64]).random() < web:
        shown = worked_over(shown, mask > 0, sample_web(seed))
    write_jpeg(out / f"{stem}.jpg", shown, shot, settings.jpeg, 10**9)
    # Where a plug is all but out of the photo, what is left of it is in the mask alone.
    if mask.any():
        name = f"masks/{stem}.png"
        Image.fromarray(mask).save(out / name, optimize=True)
        known = replace(known, mask=name)
    stored = None
    if linear.companion is not None:
        chart = out / f"{stem}.light.jpg"
        stored = write_chart(linear, groups, settings, exposure, shot, seed, chart)
    return replace(
        known,
        file=f"{stem}.jpg",
        exif_orientation=shot.orientation,
        camera=settings.camera,
        white_balance=settings.white_balance,
        taken=taken,
        stored_light=stored,
    )


def of_other_metal(linear: Linear, seed: int) -> Linear:
    """The render with its metal changed (`other_metal`); as it is where no nose shows."""
    nose = largest_nose(linear, (0, 0, linear.mask.shape[1], linear.mask.shape[0]))
    if nose <= 0:
        return linear
    light = linear.bands.mean(axis=(0, 3), dtype=np.float32)
    bands = linear.bands * metal_gain(linear.mask, light, nose, seed)
    return replace(linear, bands=np.minimum(bands, LARGEST).astype(np.float16))


def share_of(linear: Linear, box: Box, seed: int, longest: int) -> float:
    """Share of the photo's shorter side for what `box` of the render holds.

    As in the render or up to `CLOSEST` times that, evenly in the logarithm; and as large as a small
    nose in the box needs (`CLEAR`), but for `LEFT_TINY` of the photos.
    """
    rng = np.random.default_rng([seed, 46])
    height, width = linear.mask.shape
    low, high = 1.0, CLOSEST
    nose = largest_nose(linear, box) * longest / max(width, height)
    if 0 < nose * CLOSEST < CLEAR[1] and not _left_tiny(seed):
        low, high = (float(np.clip(px / nose, 1.0, ENLARGED)) for px in CLEAR)
        high = max(high, min(CLOSEST, low))
    zoom = float(np.exp(rng.uniform(np.log(low), np.log(high))))
    return min(max(box[2:]) / min(width, height) * zoom, 0.8)


def closer_share(
    linear: Linear,
    box: Box,
    seed: int,
    longest: int,
    noses: Sequence[tuple[float, float, float]],
) -> float:
    """Share of the photo's shorter side for `box`, so that its largest nose comes to a width drawn
    from `noses` (`looks.look.Framing`), as far as the box leaves room for it.

    Without a nose in sight, or widths to draw from, as `share_of` has it.
    """
    nose = largest_nose(linear, box)
    if nose <= 0 or not noses:
        return share_of(linear, box, seed, longest)
    rng = np.random.default_rng([seed, 65])
    _, low, high = noses[int(rng.choice(len(noses), p=[n[0] for n in noses]))]
    drawn = float(np.exp(rng.uniform(np.log(low), np.log(high))))
    # A window of the render's own shape that is so much smaller than it shows the nose so wide.
    height, width = linear.mask.shape
    zoom = drawn * max(width, height) / (NOSES_AT * nose)
    return min(max(box[2:]) / min(width, height) * zoom, 0.8)


def _apart(seed: int, share: float) -> bool:
    return bool(np.random.default_rng([seed, 66]).random() < share)


def grown(crop: Crop, nose: float) -> Crop:
    """The window with so many more pixels that a nose of that width in the render is clear.

    At most `LARGER` times as many a side, and no further enlarged than `ENLARGED`.
    """
    now = crop.out_width / crop.width
    more = min(LARGER, CLEAR[0] / max(nose * now, 1e-9), ENLARGED / now)
    if nose <= 0 or more <= 1:
        return crop
    size = round(crop.out_width * more), round(crop.out_height * more)
    return replace(crop, out_width=size[0], out_height=size[1])


def _left_tiny(seed: int) -> bool:
    return bool(np.random.default_rng([seed, 49]).random() < LEFT_TINY)


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
