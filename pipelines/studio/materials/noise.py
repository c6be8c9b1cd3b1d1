"""Solid noise: a value at every point in space, so that patches run over seams and edges.

One lattice of random values serves all noise. A seed says where in it a noise begins, and it comes
round again only after 64 features.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

Field = npt.NDArray[np.float32]

_BITS = 6
_SIDE = 1 << _BITS
CHUNK = 8192
"""Points at a time: what they need then stays in the processor's cache."""


@cache
def _lattice() -> Field:
    rng = np.random.default_rng(20260)
    return rng.uniform(-1, 1, _SIDE**3).astype(np.float32)


def _start(seed: int) -> npt.NDArray[np.int32]:
    """Lattice cell (3, 1) at which a seed's noise begins: the seed's bits, well mixed."""
    h = (seed + 1) * 0x9E3779B97F4A7C15 % 2**64
    for shift, factor in ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB)):
        h = (h ^ h >> shift) * factor % 2**64
    h ^= h >> 31
    mask = _SIDE - 1
    return np.array([[h & mask], [h >> 20 & mask], [h >> 40 & mask]], np.int32)


def _noise(points: Field, start: npt.NDArray[np.int32]) -> Field:
    """Noise (n,) at points (3, n)."""
    low = np.floor(points)
    t = points - low
    t = t * t * t * (t * (t * 6 - 15) + 10)
    cell = low.astype(np.int32) + start
    mask = _SIDE - 1
    (x0, y0, z0), (x1, y1, z1) = cell & mask, (cell + 1) & mask
    values = _lattice()

    def along_z(column: npt.NDArray[np.int32]) -> Field:
        near, far = values.take(column | z0), values.take(column | z1)
        far -= near
        far *= t[2]
        far += near
        return far

    x0, x1, y0, y1 = x0 << 2 * _BITS, x1 << 2 * _BITS, y0 << _BITS, y1 << _BITS
    left, right = along_z(x0 | y0), along_z(x1 | y0)
    left += t[1] * (along_z(x0 | y1) - left)
    right += t[1] * (along_z(x1 | y1) - right)
    left += t[0] * (right - left)
    return left


def value_noise(points: npt.NDArray[np.floating], seed: int) -> Field:
    """Smooth noise in -1..1 over space, one feature per unit; points (…, 3) → (…)."""
    return fractal(points, seed, 1, scale=1.0)


def fractal(
    points: npt.NDArray[np.floating],
    seed: int,
    octaves: int = 4,
    gain: float = 0.5,
    scale: float = 1.5,
) -> Field:
    """Sum of noise at doubling frequencies, times `scale`: by 1.5 it spans about -1..1.

    points (…, 3) → (…).
    """
    flat = np.ascontiguousarray(points.reshape(-1, 3).T, np.float32)
    out = np.zeros(flat.shape[1], np.float32)
    weights = [gain**k for k in range(octaves)]
    starts = [_start(seed + 101 * k) for k in range(octaves)]
    for first in range(0, len(out), CHUNK):
        part = flat[:, first : first + CHUNK]
        for k, weight in enumerate(weights):
            here = part * np.float32(2.0**k) + np.float32(17.3 * k)
            out[first : first + CHUNK] += np.float32(weight) * _noise(here, starts[k])
    out *= np.float32(scale / sum(weights))
    return out.reshape(points.shape[:-1])


def patches(
    points: npt.NDArray[np.floating], seed: int, share: float, softness: float, octaves: int = 4
) -> Field:
    """Cover in 0..1 that is 1 on about `share` of the points, with edges `softness` wide.

    Share and softness are in 0..1; share 0 gives none, 1 gives full cover.
    """
    if share <= 0.0:
        return np.zeros(points.shape[:-1], np.float32)
    if share >= 1.0:
        return np.ones(points.shape[:-1], np.float32)
    noise = fractal(points, seed, octaves)
    # Every seventh point is enough to know the level by.
    level = np.quantile(noise.ravel()[::7], 1.0 - share)
    return np.clip((noise - level) / max(softness, 1e-3) + 0.5, 0.0, 1.0).astype(np.float32)
