"""Basic closed bodies: tubes along a path, turned bodies, boxes."""

from collections.abc import Sequence

import numpy as np

from pipelines.studio.geometry.lathe import RadiusChange, lathe, resampled
from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh
from pipelines.studio.geometry.sweep import rounded_rectangle


def turned(
    points: Sequence[tuple[float, float]],
    corner: float = 0.3,
    sides: int = 96,
    change: RadiusChange | None = None,
    step: float = 0.4,
) -> Mesh:
    """Body turned from (radius, z) points given from the bottom up along the outside, on the axis
    at both ends; corners are rounded by `corner` mm."""
    return lathe(resampled(np.array(points, dtype=float), step, corner), sides, change)


def _rings(path: Array, sides: int) -> Array:
    """Unit circles (n, sides + 1, 3) across a path, the frame carried along without twist."""
    tangent = np.gradient(path, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
    some = np.array([0.0, 0.0, 1.0]) if abs(tangent[0, 2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    side = np.cross(some, tangent[0])
    carried = []
    for t in tangent:
        side = side - (side @ t) * t
        side = side / np.linalg.norm(side)
        carried.append(side)
    across = np.array(carried)
    up = np.cross(tangent, across)
    angle = np.linspace(0, 2 * np.pi, sides + 1)
    x, y = np.cos(angle)[None, :, None], np.sin(angle)[None, :, None]
    return np.asarray(x * across[:, None] + y * up[:, None])


def _closed(path: Array, points: Array, last: Array) -> Mesh:
    points[:, -1] = points[:, 0]
    first = np.broadcast_to(path[0], points[0].shape)[None]
    end = np.broadcast_to(last, points[0].shape)[None]
    return grid_mesh(np.concatenate([first, points, end]))


def tube(path: Array, radii: Array, sides: int = 32) -> Mesh:
    """Closed round body along a path (n, 3) with a radius (n,) at each point, ends flat."""
    points = path[:, None] + radii[:, None, None] * _rings(path, sides)
    return _closed(path, points, path[-1])


def hose(path: Array, outer: float, inner: float, depth: int, sides: int = 48) -> Mesh:
    """A tube open at the last end of its path: a bore `depth` points of the path deep."""
    rings = _rings(path, sides)
    wall = path[:, None] + outer * rings
    bore = path[: -depth - 1 : -1, None] + inner * rings[: -depth - 1 : -1]
    return _closed(path, np.concatenate([wall, bore]), path[-depth])


def capsule(path: Array, radii: Array, sides: int = 32) -> Mesh:
    """A tube whose ends are rounded off like fingertips."""
    start, end = path[0] - path[1], path[-1] - path[-2]
    start, end = start / np.linalg.norm(start), end / np.linalg.norm(end)
    t = np.linspace(np.pi / 2, 0.08, 9)[1:]
    first = path[0] + radii[0] * np.sin(t)[:, None] * start
    last = path[-1] + radii[-1] * np.sin(t)[::-1, None] * end
    return tube(
        np.concatenate([first, path, last]),
        np.concatenate([radii[0] * np.cos(t), radii, radii[-1] * np.cos(t)[::-1]]),
        sides,
    )


def box(width: float, depth: float, height: float, corner: float = 1.0) -> Mesh:
    """Upright box with rounded vertical edges and slightly broken top edges, standing on z = 0."""
    outline = rounded_rectangle(width, depth, max(corner, 0.2))
    edge = min(corner, 0.25 * height, 0.25 * min(width, depth), 0.8)
    levels = [(0.0, 0.0), (0.0, 1.0), (height - edge, 1.0), (height, 1 - 2 * edge / width)]
    rings = [np.concatenate([outline * s, np.full((len(outline), 1), z)], 1) for z, s in levels]
    rings.append(np.concatenate([outline * 0.0, np.full((len(outline), 1), height)], 1))
    points = np.stack(rings)
    points[:, -1] = points[:, 0]
    return grid_mesh(points)


def bend(points: Sequence[Sequence[float]], n: int = 40) -> Array:
    """Smooth path (n, 3) near the given corner points (a quadratic B-spline through the ends)."""
    p = np.array(points, dtype=float)
    for _ in range(4):
        inner = np.empty((2 * len(p) - 2, 3))
        inner[0::2] = 0.75 * p[:-1] + 0.25 * p[1:]
        inner[1::2] = 0.25 * p[:-1] + 0.75 * p[1:]
        p = np.concatenate([p[:1], inner, p[-1:]])
    run = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(p, axis=0), axis=1))])
    even = np.linspace(0, run[-1], n)
    return np.stack([np.interp(even, run, p[:, k]) for k in range(3)], 1)
