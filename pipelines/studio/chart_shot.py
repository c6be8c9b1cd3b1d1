"""The photo of a stored light's chart: the camera of the main photo, set by hand.

Balance, tone and colours are the main photo's; the exposure is another, and the EXIF of both tells
the ratio. Source of all ranges: our estimate.
"""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.camera import (
    CameraSettings,
    Crop,
    Exposure,
    Group,
    develop_groups,
    metered,
    tone,
)
from pipelines.studio.camera_sample import LEAST
from pipelines.studio.geometry.mesh import Array
from pipelines.studio.store import Linear
from pipelines.studio.stored import ShotData, write_jpeg
from pipelines.studio.truth import StoredLight

ENLARGED = 2
"""Pixels of the photo to one of the render, along each side."""
SPEEDS = (50, 100, 200, 400, 800)
TIMES = (8, 1000)
"""ISO speeds, and one over the longest and the shortest exposure time in seconds."""
OTHER_STOP = 0.25, 2.8
"""How often the chart is taken at another f-number, and which."""

TRIES, DARKER, BURNT = 7, 1.4, 0.004
"""Who stores a light looks at the chart and takes it again, so much darker each time, while more
than this share of it is burnt out (a patch is a fortieth of it)."""


def exif_exposure(shot: ShotData) -> float:
    """What EXIF says of an exposure: time in seconds × ISO speed over the f-number squared."""
    time, per = shot.exposure
    return time / per * shot.iso / shot.f_number**2


def chart_shot(shot: ShotData, wanted: float, seed: int) -> ShotData:
    """EXIF of the chart's photo, `wanted` times the exposure of `shot` as nearly as whole numbers
    allow, taken on the same morning before it."""
    rng = np.random.default_rng([seed, 63])
    other = rng.random() < OTHER_STOP[0]
    f_number = OTHER_STOP[1] if other else shot.f_number
    per = [wanted * exif_exposure(shot) * f_number**2 / iso for iso in SPEEDS]
    # The lowest speed whose time can be held by hand: a bench lamp is bright.
    fits = [k for k, time in enumerate(per) if 1 / TIMES[1] <= time <= 1 / TIMES[0]]
    k = fits[0] if fits else int(np.abs(np.log(np.array(per) * 60)).argmin())
    day = shot.taken.partition(" ")[0]
    return replace(
        shot,
        taken=f"{day} 06:{rng.integers(60):02d}:{rng.integers(60):02d}",
        exposure=(1, max(1, round(1 / per[k]))),
        iso=SPEEDS[k],
        f_number=f_number,
        orientation=int(rng.choice([1, 6, 3, 8], p=[0.8, 0.12, 0.03, 0.05])),
    )


def write_chart(
    linear: Linear,
    groups: Sequence[Group],
    settings: CameraSettings,
    exposure: Exposure,
    shot: ShotData,
    seed: int,
    path: Path,
) -> StoredLight:
    """Develop and store the chart of a render's stored light; give its truth.

    `groups`, `settings`, `exposure` and `shot` are those of the main photo. Raises ValueError for a
    render without one.
    """
    stored, companion = linear.truth.stored_light, linear.companion
    if stored is None or companion is None:
        raise ValueError(f"{path.name}: the render has no chart of a stored light")
    charts = [
        replace(group, bands=bands.astype(np.float32))
        for group, bands in zip(groups, companion, strict=True)
    ]
    _, height, width, _ = companion.shape
    crop = Crop(0, 0, width, height, ENLARGED * width, ENLARGED * height)
    ev = float(np.random.default_rng([seed, 64]).uniform(-0.6, 0.0))
    # Someone takes care over it: nothing moves and it is in focus.
    settings = replace(settings, crop=crop, defocus=0.0, motion=(0.0, 0.0), ev=ev)
    corners = crop.points(np.array(stored.corners))
    wanted = metered(charts, settings, exposure.power).gain / exposure.gain
    for darker in range(TRIES):
        taken = chart_shot(shot, wanted / DARKER**darker, seed)
        gain = exposure.gain * exif_exposure(taken) / exif_exposure(shot)
        electrons = max(settings.electrons * shot.iso / taken.iso, LEAST)
        kept = replace(settings, electrons=electrons)
        shown = develop_groups(charts, kept, seed + 1, Exposure(gain, exposure.power))
        if _burnt(shown, corners, settings) < BURNT:
            break
    write_jpeg(path, shown, taken, settings.jpeg, 10**9)
    return StoredLight(
        stored.lamp,
        settings.camera,
        path.name,
        tuple((round(float(x), 2), round(float(y), 2)) for x, y in corners),
    )


def _burnt(shown: npt.NDArray[np.uint8], corners: Array, settings: CameraSettings) -> float:
    """Share of the chart's pixels with a channel as bright as the camera's tone curve gives."""
    top = float(tone(np.ones(1), settings.contrast, settings.curve)[0]) * 255 - 3
    chart = np.zeros(shown.shape[:2], np.uint8)
    cv2.fillConvexPoly(chart, corners.round().astype(np.int32), 1)
    return float((shown[chart > 0].max(axis=-1) >= top).mean())
