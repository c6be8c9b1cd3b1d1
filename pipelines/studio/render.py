"""Radiance in sixteen narrow bands, and what each pixel shows (needs Mitsuba).

Mitsuba's spectral variants draw four random wavelengths for each path, which costs colour noise and
ties a picture to one lamp. Here each path carries four of sixteen *fixed* wavelengths, the same
paths for all, under light of equal energy: the bands are free of colour noise, and any illuminant
and any camera are put to them afterwards (`camera`), exactly so far as reflectances are straight
between wavelengths 20 nm apart.
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

from pipelines.studio.materials.spectra import WAVELENGTHS
from pipelines.studio.scene import Loaded

Bands = npt.NDArray[np.float32]
Box = tuple[int, int, int, int]
"""Left, top, width, height in pixels."""

CHUNK = 5_000_000


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


def bands(
    loaded: Loaded,
    box: Box,
    samples: int,
    seed: int,
    start_band: int | None = None,
    matte: frozenset[str] = frozenset(),
) -> Bands:
    """Radiance (height, width, 16) of the box, `samples` paths a pixel, box filter.

    The paths of a pixel are spread over a square grid: their number is rounded up to a square.

    With `start_band` 0..3 only every fourth band from there: (height, width, 4). Items named in
    `matte` lose their surface reflection and keep their colour.
    """
    left, top, width, height = box
    samples = square(samples)
    rows = max(1, CHUNK // (width * samples))
    starts = range(4) if start_band is None else [start_band]
    out = np.empty((height, width, 16), np.float32)
    for k in starts:
        pick = np.arange(k, len(WAVELENGTHS), 4)
        for skin, surface, name in loaded.skins:
            skin.load(surface, pick, name in matte)
        for first in range(0, height, rows):
            part = (left, top + first, width, min(rows, height - first))
            seed_here = (seed * 7919 + first) % 2**31
            out[first : first + part[3], :, k::4] = _four(loaded, part, samples, seed_here)
    return out if start_band is None else out[..., start_band::4]


def square(number: int) -> int:
    """The square at or next above a number from 1."""
    side = isqrt(number - 1) + 1
    return side * side


def _four(loaded: Loaded, box: Box, samples: int, seed: int) -> Bands:
    left, top, width, height = box
    sensor = loaded.sensor
    size = sensor.film().crop_size()
    n = width * height * samples
    sampler = mi.load_dict({"type": "multijitter", "sample_count": samples})
    sampler.set_samples_per_wavefront(samples)
    # Opaque values keep one compiled kernel for all chunks, seeds and wavelengths.
    sampler.seed(dr.opaque(mi.UInt32, seed), n)
    across, corner = dr.opaque(mi.UInt32, width), dr.opaque(mi.Point2f, [left, top])
    index = dr.arange(mi.UInt32, n) // dr.opaque(mi.UInt32, samples)
    pixel = mi.Point2f(mi.Float(index % across), mi.Float(index // across)) + corner
    place = (pixel + sampler.next_2d()) / mi.Point2f(mi.Float(size[0]), mi.Float(size[1]))
    ray, _ = sensor.sample_ray_differential(0.0, 0.5, place, sampler.next_2d())
    # The four channels are carriers: which bands they are is in the maps of the surfaces.
    ray.wavelengths = mi.Spectrum(500.0)
    radiance, _, _ = loaded.integrator.sample(loaded.scene, sampler, ray)
    radiance = dr.minimum(radiance, dr.opaque(mi.Float, loaded.brightest))
    dr.eval(radiance)
    means = [dr.block_sum(radiance[k], samples) / samples for k in range(4)]
    picture = np.stack([np.array(m) for m in means], -1).reshape(height, width, 4)
    return np.nan_to_num(picture, nan=0.0, posinf=0.0)


def foveated(
    loaded: Loaded, size: tuple[int, int], box: Box, low: int, high: int, seed: int
) -> Bands:
    """All bands of the whole picture at `low` paths a pixel, and of the box at `high` more.

    `size` is width and height. In the box both are averaged by their number of paths.
    """
    low = square(low)
    picture = bands(loaded, (0, 0, *size), low, seed)
    left, top, width, height = box
    inside = np.s_[top : top + height, left : left + width]
    # Another number of paths means another kernel to compile for the scene, which takes longer than
    # the paths: where `high` is so many times `low`, it is so many passes.
    each, passes = (low, high // low) if high % low == 0 else (square(high), 1)
    for k in range(passes):
        fine = bands(loaded, box, each, seed + 1 + k)
        share = each / (low + (k + 1) * each)
        picture[inside] += share * (fine - picture[inside])
    return picture


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
    sensor = loaded.sensor
    size = sensor.film().crop_size()
    n = width * k * height * k
    index = dr.arange(mi.UInt32, n)
    x = (mi.Float(index % (width * k)) + 0.5) / k + left
    y = (mi.Float(index // (width * k)) + 0.5) / k + top
    place = mi.Point2f(x / float(size[0]), y / float(size[1]))
    ray, _ = sensor.sample_ray(0.0, 0.5, place, mi.Point2f(0.5, 0.5))
    si = loaded.scene.ray_intersect(ray)
    found = np.array(dr.reinterpret_array(mi.UInt32, si.shape))
    name = np.full(n, -1, np.int32)
    shapes = loaded.scene.shapes()
    for j, shape in enumerate(shapes):
        key = np.array(dr.reinterpret_array(mi.UInt32, mi.ShapePtr(shape)))[0]
        name[found == key] = j
    shape2 = (height * k, width * k)
    return Hits(
        tuple(s.id() for s in shapes),
        name.reshape(shape2),
        np.array(si.p).T.reshape(*shape2, 3).astype(np.float64),
        np.array(si.uv).T.reshape(*shape2, 2).astype(np.float64),
    )
