"""Radiance in sixteen narrow bands, and what each pixel shows (needs Mitsuba).

Mitsuba's spectral variants draw four random wavelengths for each path, which costs colour noise and
ties a picture to one lamp. Here each path carries all of sixteen *fixed* wavelengths (`paths`),
under light of equal energy: the bands are free of colour noise, and any illuminant and any camera
are put to them afterwards (`camera`), exactly so far as reflectances are straight between
wavelengths 20 nm apart.
"""

import ctypes.util
import os
from dataclasses import dataclass
from functools import cache
from math import isqrt
from pathlib import Path

import drjit as dr
import mitsuba as mi
import numpy as np
import numpy.typing as npt

from pipelines.studio.buffers import held
from pipelines.studio.lens import rays
from pipelines.studio.paths import radiance
from pipelines.studio.scene import Loaded
from pipelines.studio.surfaces import meet

Bands = npt.NDArray[np.float32]
Box = tuple[int, int, int, int]
"""Left, top, width, height in pixels."""

Pixels = npt.NDArray[np.int64]
"""Columns and rows of pixels, (n, 2)."""

CHUNK = 5_000_000
"""Paths at a time, at most."""


def start(variant: str | None = None) -> str:
    """Set Mitsuba's variant: the one named, else CUDA, else LLVM, else the scalar one.

    `DRJIT_LIBLLVM_PATH` names the LLVM library; without it a version 19 or younger is looked for,
    because older ones fail on some processors. Raises RuntimeError when none can be set.
    """
    if "DRJIT_LIBLLVM_PATH" not in os.environ:
        for name in ("LLVM-19", "LLVM-20", "LLVM-21"):
            found = ctypes.util.find_library(name)
            if found:
                folder = Path("/usr/lib") / f"{os.uname().machine}-linux-gnu"
                path = folder / found
                os.environ["DRJIT_LIBLLVM_PATH"] = str(path) if path.exists() else found
                break
    wanted = [variant] if variant else ["cuda_ad_spectral", "llvm_ad_spectral"]
    errors = []
    for name in wanted:
        try:
            mi.set_variant(name)
            dr.eval(mi.Float([0.0, 1.0]) + 1.0)
            return name
        except Exception as error:
            errors.append(f"{name}: {error}")
    raise RuntimeError(
        "no spectral variant of Mitsuba runs here; install LLVM 19 (Debian: libllvm19) or name its "
        f"library in DRJIT_LIBLLVM_PATH. {'; '.join(errors)}"
    )


@cache
def start_once() -> str:
    """`start` without a wish, once a process."""
    return start()


@dataclass(frozen=True)
class Picture:
    """Radiance (height, width, 16), and how much of it, as a mean over the bands (height, width),
    left what the pixel shows by its mirror reflection."""

    bands: Bands
    mirrored: npt.NDArray[np.float32]


def picture(loaded: Loaded, box: Box, samples: int, seed: int) -> Picture:
    """The box of the picture, `samples` paths a pixel, box filter.

    The paths of a pixel are spread over a square grid: their number is rounded up to a square.
    """
    left, top, width, height = box
    rows, columns = np.mgrid[top : top + height, left : left + width]
    visits = np.stack([columns.ravel(), rows.ravel()], 1)
    whole = _visited(loaded, visits, square(samples), len(visits), seed)
    whole = whole.reshape(height, width, -1)
    return Picture(whole[..., :16], whole[..., 16])


def bands(loaded: Loaded, box: Box, samples: int, seed: int) -> Bands:
    """Radiance (height, width, 16) of the box, as in `picture`."""
    return picture(loaded, box, samples, seed).bands


def square(number: int) -> int:
    """The square at or next above a number from 1."""
    side = isqrt(number - 1) + 1
    return side * side


def _visited(
    loaded: Loaded, visits: Pixels, samples: int, many: int, seed: int
) -> npt.NDArray[np.float32]:
    """Means over the paths of each visit to a pixel: the bands and the mirrored part, (visits, 17).

    Visits are made `many` at a time, but for what memory holds, and filled up to that: each number
    of paths at a time is another kernel to compile, which takes longer than the paths.
    """
    many = min(many, max(1, CHUNK // samples))
    parts = []
    for first in range(0, len(visits), many):
        some = visits[first : first + many]
        filled = np.concatenate([some, np.zeros((many - len(some), 2), visits.dtype)])
        here = (seed * 7919 + first) % 2**31
        parts.append(_traced(loaded, filled, samples, here)[: len(some)])
    return np.concatenate(parts)


def _traced(loaded: Loaded, visits: Pixels, samples: int, seed: int) -> npt.NDArray[np.float32]:
    n = len(visits) * samples
    sampler = mi.load_dict({"type": "multijitter", "sample_count": samples})
    sampler.set_samples_per_wavefront(samples)
    # Opaque values keep one compiled kernel for all visits and seeds.
    sampler.seed(dr.opaque(mi.UInt32, seed), n)
    index = dr.arange(mi.UInt32, n) // dr.opaque(mi.UInt32, samples)
    x, y = (held(mi.Float, visits[:, k].astype(np.float32)) for k in (0, 1))
    pixel = mi.Point2f(dr.gather(mi.Float, x, index), dr.gather(mi.Float, y, index))
    ray = rays(loaded.lens, pixel + sampler.next_2d(), sampler.next_2d())
    packets, mirrored = radiance(loaded.lit, sampler, ray)
    most = dr.opaque(mi.Float, loaded.brightest)
    channels = [*(p[k] for p in packets for k in range(4)), mirrored]
    channels = [dr.minimum(channel, most) for channel in channels]
    dr.eval(channels)
    means = [dr.block_sum(channel, samples) / samples for channel in channels]
    dr.eval(means)
    return np.nan_to_num(np.stack([np.array(m) for m in means], -1), nan=0.0, posinf=0.0)


def foveated(
    loaded: Loaded, size: tuple[int, int], box: Box, low: int, high: int, seed: int
) -> Picture:
    """The whole picture at `low` paths a pixel, and the box at `high` more.

    `size` is width and height. In the box both are averaged by their number of paths; `high` is
    rounded up to a multiple of `low`.
    """
    low = square(low)
    whole = picture(loaded, (0, 0, *size), low, seed)
    left, top, width, height = box
    rows, columns = np.mgrid[top : top + height, left : left + width]
    passes = -(-high // low)
    visits = np.tile(np.stack([columns.ravel(), rows.ravel()], 1), (passes, 1))
    fine = _visited(loaded, visits, low, size[0] * size[1], seed + 1)
    fine = fine.reshape(passes, height, width, -1).mean(axis=0)
    inside = np.s_[top : top + height, left : left + width]
    share = passes / (1 + passes)
    whole.bands[inside] += share * (fine[..., :16] - whole.bands[inside])
    whole.mirrored[inside] += share * (fine[..., 16] - whole.mirrored[inside])
    return whole


@dataclass(frozen=True)
class Hits:
    """What the middle of each sub-pixel shows, (height·k, width·k): `name` index into `names`
    (−1: nothing), `point` in mm, `uv` on that item."""

    names: tuple[str, ...]
    name: npt.NDArray[np.int32]
    point: npt.NDArray[np.float64]
    uv: npt.NDArray[np.float64]


def hits(loaded: Loaded, box: Box, k: int) -> Hits:
    """First hits through the middle of the lens, k×k a pixel."""
    left, top, width, height = box
    n = width * k * height * k
    index = dr.arange(mi.UInt32, n)
    across = dr.opaque(mi.UInt32, width * k)
    x, y = mi.Float(index % across), mi.Float(index // across)
    corner = dr.opaque(mi.Point2f, [left, top])
    ray = rays(loaded.lens, (mi.Point2f(x, y) + 0.5) / k + corner, mi.Point2f(0.5, 0.5))
    met = meet(loaded.lit.things, ray, mi.Bool(True))
    name = dr.select(met.hit, mi.Int32(met.item), -1)
    dr.eval(name, met.point, met.uv)
    shape = (height * k, width * k)
    return Hits(
        loaded.names,
        np.array(name).reshape(shape),
        np.stack([np.array(v, np.float64) for v in met.point], -1).reshape(*shape, 3),
        np.stack([np.array(v, np.float64) for v in met.uv], -1).reshape(*shape, 2),
    )
