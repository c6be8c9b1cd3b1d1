"""How much of a flat sheet stands behind other things, seen from the camera."""

from collections.abc import Iterable

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.view import View

CLEAR = 0.6
"""How far in mm off the sheet's plane a thing begins to hide it: nearer are its own layers."""
SIDE = 11
"""Points looked at along each side of the sheet."""


def hidden_share(view: View, corners: Array, things: Iterable[Mesh]) -> float:
    """Share of what the frame shows of a sheet with these corners (4, 3) that lies behind `things`.

    0 where the frame shows nothing of it. What lies in the sheet's plane or behind it does not
    count, so that its own pieces may be among the things.
    """
    corners = np.asarray(corners, float)
    s, t = (a.ravel()[:, None] for a in np.meshgrid(*[(np.arange(SIDE) + 0.5) / SIDE] * 2))
    top = corners[0] + s * (corners[1] - corners[0])
    low = corners[3] + s * (corners[2] - corners[3])
    pixels = view.project(top + t * (low - top))
    pixels = pixels[np.all((pixels > 0) & (pixels < [view.width, view.height]), axis=1)]
    if len(pixels) == 0:
        return 0.0
    eye, forward = np.array(view.origin), view.axes()[2]
    normal = np.cross(corners[1] - corners[0], corners[3] - corners[0])
    normal = normal / np.linalg.norm(normal)
    normal = normal * np.sign((eye - corners[0]) @ normal)
    hidden = np.zeros(len(pixels), bool)
    for mesh in things:
        # Most things lie aside: their vertices say so before any face is looked at.
        before = mesh.vertices @ normal > corners[0] @ normal + CLEAR
        before &= mesh.vertices @ forward > eye @ forward + 1.0
        if not before.any():
            continue
        seen = view.project(np.where(before[:, None], mesh.vertices, view.target))
        low, high = seen[before].min(axis=0), seen[before].max(axis=0)
        if np.any(high < pixels.min(axis=0)) or np.any(low > pixels.max(axis=0)):
            continue
        faces = mesh.faces[before[mesh.faces].all(axis=1)]
        hidden |= _within(pixels, seen[faces])
    return float(hidden.mean())


def _within(points: Array, triangles: Array) -> Array:
    """Which of the points (n, 2) lie in any of the triangles (m, 3, 2)."""
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    near = np.all((high >= points.min(axis=0)) & (low <= points.max(axis=0)), axis=1)
    triangles, low, high = triangles[near], low[near], high[near]
    out = np.zeros(len(points), bool)
    for k, point in enumerate(points):
        some = triangles[np.all((low <= point) & (point <= high), axis=1)]
        edge, away = np.roll(some, -1, axis=1) - some, point - some
        side = edge[..., 0] * away[..., 1] - edge[..., 1] * away[..., 0]
        out[k] = bool(np.any(np.all(side >= 0, axis=1) | np.all(side <= 0, axis=1)))
    return out
