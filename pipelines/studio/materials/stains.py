"""Marks that use leaves on a bench or cloth, at several scales at once. Source: our estimate."""

import cv2
import numpy as np

from pipelines.studio.materials.noise import fractal, patches
from pipelines.studio.materials.surface import Map


def warped(points: Map, seed: int, size: float, by: float = 0.5) -> Map:
    """Points (…, 3) pushed about in x and y by `by` times `size` mm, so that noise read there has
    no lattice to it."""
    drift = [fractal(points / size, seed + k, 2) for k in (0, 1)]
    return np.asarray(points + by * size * np.stack([*drift, 0 * drift[0]], -1))


def stains(points: Map, seed: int, size: float, rng: np.random.Generator) -> Map:
    """How far marks cover a sheet (rows, columns), 0..1, for texels (rows, columns, 3) in mm.

    Each sheet has its own mixture: broad clouds of grime without an edge, spills of about `size` mm
    with a dark rim and ragged outline, flecks in swarms. Some have hardly any.
    """
    rows, columns = points.shape[:2]
    # What is broad is drawn on every third texel.
    coarse = points[::3, ::3]
    away = warped(coarse, seed, 1.7 * size, 0.6)
    used = float(rng.choice([0.15, 0.5, 1.0], p=[0.4, 0.4, 0.2]))
    cloud = np.clip(fractal(away / (4.0 * size), seed + 2, 6, 0.65) + 0.1, 0, 1)
    out = used * float(rng.uniform(0.15, 0.7)) * cloud
    if rng.random() < 0.5:
        spill = fractal(away / (float(rng.uniform(1.5, 4.0)) * size), seed + 3, 5, 0.55)
        level = float(np.quantile(spill, 1.0 - float(rng.uniform(0.01, 0.07))))
        inside = np.clip((spill - level) / 0.05, 0, 1)
        rim = np.exp(-(((spill - level - 0.03) / 0.03) ** 2))
        out = out + used * float(rng.uniform(0.2, 0.8)) * np.clip(0.5 * inside + 0.6 * rim, 0, 1)
    broad = cv2.resize(out.astype(np.float32), (columns, rows), interpolation=cv2.INTER_LINEAR)
    fine = patches(points / (0.06 * size), seed + 4, float(rng.uniform(0.004, 0.02)), 0.3, 2)
    swarm = cv2.resize(cloud.astype(np.float32), (columns, rows), interpolation=cv2.INTER_LINEAR)
    return np.asarray(np.clip(broad + used * fine * (0.2 + swarm), 0.0, 1.0))
