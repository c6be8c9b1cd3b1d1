"""Shapes turned round the z axis, with a radius that may depend on the angle."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh

RadiusChange = Callable[[Array, Array, Array], Array]


def resampled(profile: Array, step: float, corner: float = 0.0) -> Array:
    """Profile (n, 2) of (radius, z) with extra points so that none are further apart than `step`.

    Corners are kept; with `corner` > 0 every inner corner is first cut back by that many mm (or a
    third of the shorter side) and rounded through a quadratic curve.
    """
    points = profile
    if corner > 0:
        out = [profile[0]]
        for before, here, after in zip(profile[:-2], profile[1:-1], profile[2:], strict=True):
            to_before, to_after = before - here, after - here
            cut = min(corner, np.hypot(*to_before) / 3, np.hypot(*to_after) / 3)
            start = here + to_before / np.hypot(*to_before) * cut
            end = here + to_after / np.hypot(*to_after) * cut
            t = np.linspace(0, 1, 5)[:, None]
            out.extend((1 - t) ** 2 * start + 2 * t * (1 - t) * here + t**2 * end)
        out.append(profile[-1])
        points = np.array(out)
    dense = [points[:1]]
    for a, b in pairwise(points):
        n = max(1, int(np.ceil(np.hypot(*(b - a)) / step)))
        dense.append(a + (b - a) * (np.arange(1, n + 1) / n)[:, None])
    return np.concatenate(dense)


def lathe(profile: Array, sides: int, change: RadiusChange | None = None) -> Mesh:
    """Turn a profile (n, 2) of (radius, z) round z.

    The profile runs so that the outside lies to its right when z points up and it goes up (outer
    walls upwards, inner walls downwards). It closes a volume when both ends lie on the axis, or on
    each other. `change(radius, z, angle)` gives the radius in mm on the grid; it must leave the
    axis at 0.
    """
    angle = np.linspace(0.0, 2 * np.pi, sides + 1)
    radius = np.repeat(profile[:, :1], sides + 1, axis=1)
    z = np.repeat(profile[:, 1:], sides + 1, axis=1)
    if change is not None:
        radius = change(radius, z, np.broadcast_to(angle, radius.shape))
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), z], axis=-1)
    points[:, -1] = points[:, 0]
    return grid_mesh(points)


def thread(pitch: float, start: float, end: float, depth: float, runout: float) -> RadiusChange:
    """Helical V thread cut into a wall between heights `start` and `end` (mm).

    The 60° form of ISO metric threads, crest and root flattened; the groove fades out over
    `runout` mm at both ends. Walls below 0.8 of the largest radius (the bore) are left alone.
    """

    def change(radius: Array, z: Array, angle: Array) -> Array:
        phase = np.mod(z / pitch - angle / (2 * np.pi), 1.0)
        triangle = np.abs(2 * phase - 1)
        groove = np.clip((triangle - 0.10) / 0.72, 0, 1)
        fade = np.clip(np.minimum(z - start, end - z) / runout, 0, 1)
        outer = radius > 0.8 * radius.max()
        return np.where(outer, radius - depth * groove * fade, radius)

    return change


def hexagon(across_flats: float) -> RadiusChange:
    """Limits the radius to a hexagon of the given width across flats."""

    def change(radius: Array, _z: Array, angle: Array) -> Array:
        off = np.mod(angle + np.pi / 6, np.pi / 3) - np.pi / 6
        return np.minimum(radius, across_flats / 2 / np.cos(off))

    return change
