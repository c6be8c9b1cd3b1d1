"""Solid noise: a value at every point in space, so that patches run over seams and edges."""

import numpy as np

from pipelines.studio.geometry.mesh import Array


def _hash(cell: np.ndarray, seed: int) -> Array:
    """Uniform -1..1 for each integer lattice cell (…, 3), by multiplying and xor-ing."""
    c = cell.astype(np.uint32)
    h = c[..., 0] * np.uint32(0x8DA6B343)
    h ^= c[..., 1] * np.uint32(0xD8163841)
    h ^= c[..., 2] * np.uint32(0xCB1AB31F)
    h ^= np.uint32((seed * 0x9E3779B1) & 0xFFFFFFFF)
    for shift, factor in ((16, 0x7FEB352D), (15, 0x846CA68B)):
        h ^= h >> np.uint32(shift)
        h *= np.uint32(factor)
    h ^= h >> np.uint32(16)
    return h.astype(np.float64) / 2147483647.5 - 1.0


def value_noise(points: Array, seed: int) -> Array:
    """Smooth noise in -1..1 over space, one feature per unit; points (…, 3) → (…)."""
    low = np.floor(points)
    t = points - low
    t = t * t * t * (t * (t * 6 - 15) + 10)
    base = low.astype(np.int64)
    out = np.zeros(points.shape[:-1])
    for dx in (0, 1):
        for dy in (0, 1):
            for dz in (0, 1):
                weight = (
                    (t[..., 0] if dx else 1 - t[..., 0])
                    * (t[..., 1] if dy else 1 - t[..., 1])
                    * (t[..., 2] if dz else 1 - t[..., 2])
                )
                out += weight * _hash(base + np.array([dx, dy, dz]), seed)
    return out


def fractal(points: Array, seed: int, octaves: int = 4, gain: float = 0.5) -> Array:
    """Sum of noise at doubling frequencies, scaled back to about -1..1; points (…, 3) → (…)."""
    total = np.zeros(points.shape[:-1])
    weight, norm = 1.0, 0.0
    for k in range(octaves):
        total += weight * value_noise(points * 2.0**k + 17.3 * k, seed + 101 * k)
        norm += weight
        weight *= gain
    return total / norm * 1.5


def patches(points: Array, seed: int, share: float, softness: float, octaves: int = 4) -> Array:
    """Cover in 0..1 that is 1 on about `share` of the points, with edges `softness` wide.

    Share and softness are in 0..1; share 0 gives none, 1 gives full cover.
    """
    if share <= 0.0:
        return np.zeros(points.shape[:-1])
    if share >= 1.0:
        return np.ones(points.shape[:-1])
    noise = fractal(points, seed, octaves)
    level = np.quantile(noise, 1.0 - share)
    return np.clip((noise - level) / max(softness, 1e-3) + 0.5, 0.0, 1.0)
