"""A closed cross-section drawn along a path: straps, springs, wires."""

from itertools import pairwise

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh


def rounded_rectangle(width: float, height: float, corner: float, per_corner: int = 4) -> Array:
    """Outline (n, 2), closed (last point = first), counter-clockwise, centred on the origin."""
    corner = min(corner, 0.49 * width, 0.49 * height)
    points = []
    for k, (sx, sy) in enumerate([(1, 1), (-1, 1), (-1, -1), (1, -1)]):
        t = np.linspace(0, np.pi / 2, per_corner + 1) + k * np.pi / 2
        centre = np.array([sx * (width / 2 - corner), sy * (height / 2 - corner)])
        points.append(centre + corner * np.stack([np.cos(t), np.sin(t)], 1))
    outline = np.concatenate(points)
    dense: list[Array] = []
    ring = np.concatenate([outline, outline[:1]])
    for a, b in pairwise(ring):
        n = max(1, int(np.hypot(*(b - a)) / 0.2))
        dense.append(a + (b - a) * (np.arange(n) / n)[:, None])
    out = np.concatenate(dense)
    return np.concatenate([out, out[:1]])


def circle(radius: float, sides: int = 20) -> Array:
    """Circular outline (sides + 1, 2), closed, counter-clockwise."""
    t = np.linspace(0, 2 * np.pi, sides + 1)
    return radius * np.stack([np.cos(t), np.sin(t)], 1)


def sweep(path: Array, side: Array, outline: Array, rounding: float = 0.0) -> Mesh:
    """Closed body of an outline swept along a path, ends capped.

    `path` (n, 3) in mm, `side` (n, 3) unit vectors across the path that carry the outline's x;
    its y goes along tangent × side. With `rounding` > 0 the last end is drawn in over that many mm,
    like an eroded edge.
    """
    tangent = np.gradient(path, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
    up = np.cross(tangent, side)
    up /= np.linalg.norm(up, axis=1, keepdims=True)
    scale = np.ones(len(path))
    if rounding > 0:
        length = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        left = np.clip((length[-1] - length) / rounding, 0, 1)
        scale = 0.55 + 0.45 * np.sqrt(1 - (1 - left) ** 2)
    rings = (
        path[:, None]
        + outline[None, :, :1] * scale[:, None, None] * side[:, None]
        + outline[None, :, 1:] * scale[:, None, None] * up[:, None]
    )
    # Each cap shrinks to its centre in two rings, so that textures on it stay fine enough.
    caps = []
    for end in (0, -1):
        ring, centre = rings[end], path[end]
        inner = centre + 0.5 * (ring - centre)
        caps.append((np.broadcast_to(centre, ring.shape), inner))
    points = np.concatenate(
        [caps[0][0][None], caps[0][1][None], rings, caps[1][1][None], caps[1][0][None]]
    )
    return grid_mesh(np.ascontiguousarray(points))
