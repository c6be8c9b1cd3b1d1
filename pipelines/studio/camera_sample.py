"""Drawing how a photo is taken: camera, balance, exposure, blurs, noise, tone, crop, JPEG.

Nothing here knows what is in the picture but where the firing end lies. Source of all ranges: our
estimate, after the photos that workshops send.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pipelines.studio.camera import CURVES, CameraSettings, Crop
from pipelines.studio.camera_colour import MOST_DUV
from pipelines.studio.lights.spectra import CAMERAS

Box = tuple[int, int, int, int]

LEAST = 1200.0
"""Fewest electrons of a white pixel: about a phone at ISO 800, denoised (our estimate)."""

OFF_METER, MOST_EV = 0.45, 1.5
"""Stops beside the meter's exposure: standard deviation, and most (our estimate)."""
SPOILT = 0.08, (1.2, 2.2)
"""Share of photos exposed so badly that they are no good, and how far off in stops either way."""
SMOOTH = 0.12, 0.6
"""How far phones smear grain, evenly in the logarithm (our estimate)."""

ENLARGED = 2.5
"""Pixels of a photo to one of its render at most, along each side: as soft as a photo that was
taken with a phone's digital zoom (our estimate)."""


def sample_settings(
    seed: int, allowed: Sequence[str] = tuple(CAMERAS), dim: float = 0.0
) -> CameraSettings:
    """Draw the second stage of one photo with one of the allowed cameras.

    `dim` is the stops of light missing (`lights.rigs.Lights.dim`): fewer photons and more motion
    blur. Raises ValueError when `allowed` is empty, KeyError for an unknown camera.
    """
    if not allowed:
        raise ValueError("no camera is allowed: name at least one")
    if unknown := [name for name in allowed if name not in CAMERAS]:
        raise KeyError(f"no camera called {unknown[0]!r}; known: {', '.join(CAMERAS)}")
    rng = np.random.default_rng([seed, 40])
    balance, mired, duv = _balance(rng)
    curve = str(rng.choice(CURVES, p=[0.48, 0.14, 0.16, 0.12, 0.10]))
    defocus = float(rng.uniform(0.8, 4.5)) if rng.random() < 0.22 else 0.0
    moves = rng.random() < 0.12 + 0.08 * dim
    motion = (float(rng.uniform(1.5, 7.0)), float(rng.uniform(0, 180))) if moves else (0.0, 0.0)
    return CameraSettings(
        camera=str(rng.choice(list(allowed))),
        balance=balance,
        mired=mired,
        duv=duv,
        ev=_ev(rng),
        smooth=float(np.exp(rng.uniform(*np.log(SMOOTH)))),
        blur=float(rng.uniform(0.4, 1.0)),
        electrons=max(float(np.exp(rng.uniform(np.log(2500), np.log(20000))) / 2.0**dim), LEAST),
        contrast=float(rng.uniform(0.0, 0.9)),
        sharpen=float(rng.choice([0.0, rng.uniform(0.2, 0.9), rng.uniform(0.9, 1.5)])),
        falloff=float(rng.uniform(0.0, 0.35)),
        curve=curve,
        defocus=defocus,
        motion=motion,
        local=float(rng.uniform(0.2, 1.0)) if rng.random() < 0.35 else 0.0,
        jpeg=int(rng.integers(50, 98)),
    )


def _ev(rng: np.random.Generator) -> float:
    """Stops beside the meter: a phone is near it as a rule, and a few photos are spoilt."""
    if rng.random() < SPOILT[0]:
        return float(rng.choice([-1, 1]) * rng.uniform(*SPOILT[1]))
    return float(np.clip(rng.normal(0, OFF_METER), -MOST_EV, MOST_EV))


def _balance(rng: np.random.Generator) -> tuple[float, float, float]:
    """Balance, mired and duv: right, partly right, or one fixed for another light."""
    kind = rng.choice(3, p=[0.62, 0.30, 0.08])
    if kind == 0:
        return float(rng.uniform(0.96, 1.0)), float(rng.uniform(-8, 8)), _duv(rng, 0.001, 0.0025)
    if kind == 1:
        return float(rng.uniform(0.65, 0.95)), float(rng.uniform(-20, 20)), _duv(rng, 0.002, 0.006)
    return float(rng.uniform(0.1, 0.42)), float(rng.uniform(-60, 60)), _duv(rng, 0.007, MOST_DUV)


def _duv(rng: np.random.Generator, spread: float, most: float) -> float:
    return float(np.clip(rng.normal(0, spread), -most, most))


def cropped(
    settings: CameraSettings,
    seed: int,
    size: tuple[int, int],
    firing_end: Box | None,
    longest: int,
    share: float | None = None,
) -> CameraSettings:
    """The settings with a random window of a render, `size` its width and height.

    `firing_end` (left, top, width, height in pixels of the render) stays whole in the window and
    its larger side comes to about `share` of the window's shorter one where the render allows; None
    for a photo without a plug. `longest` is the longer side of the photo in pixels, less where a
    window would be enlarged more than `ENLARGED` times.
    """
    rng = np.random.default_rng([seed, 41])
    width, height = size
    wanted = float(np.exp(rng.uniform(np.log(0.03), np.log(0.8)))) if share is None else share
    aspect = float(rng.choice([4 / 3, 3 / 2, 16 / 9, 1.0, 3 / 4, 2 / 3]))
    widest = min(width / max(aspect, 1.0), height / max(1 / aspect, 1.0))
    short = widest
    if firing_end is not None:
        extent = max(firing_end[2], firing_end[3])
        short = float(np.clip(extent / wanted, min(1.25 * extent, widest), widest))
    elif share is None:
        short = widest * float(rng.uniform(0.55, 1.0))
    across = min(width, round(short * max(aspect, 1.0)))
    down = min(height, round(short * max(1 / aspect, 1.0)))
    left = _offset(rng, width, across, firing_end and (firing_end[0], firing_end[2]))
    top = _offset(rng, height, down, firing_end and (firing_end[1], firing_end[3]))
    zoom = min(longest / max(across, down), ENLARGED)
    out = max(8, round(across * zoom)), max(8, round(down * zoom))
    return replace(settings, crop=Crop(left, top, across, down, *out))


def _offset(rng: np.random.Generator, whole: int, window: int, keep: tuple[int, int] | None) -> int:
    """Where a window starts so that it lies inside, holds `keep` (start, length), and is random."""
    low, high = 0, whole - window
    if keep is not None:
        margin = max(0, min(window - keep[1], keep[1]) // 4)
        low = max(low, min(high, keep[0] + keep[1] + margin - window))
        high = min(high, max(low, keep[0] - margin))
    return int(rng.integers(low, high + 1))
