"""Soft ground gives way: no fold or stone comes through what lies on it."""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.scenery import Item

CELL = 1.5
SLOPE = 0.9
CLEAR = 0.15
"""Cells in mm, rise of the ground beside what presses on it (mm by mm), air below it in mm."""


def settled(ground: Sequence[Item], under: Array) -> list[Item]:
    """The ground's items with every vertex pushed below the points `under` (n, 3) over it.

    `under` covers what lies there (flats by `filled`, plugs by their vertices), at most `CELL` mm
    between neighbours; beside it the ground may rise by `SLOPE`.
    """
    if len(under) == 0:
        return list(ground)
    least = under[:, :2].min(axis=0) - 60.0
    across, down = (int(v) for v in np.ceil((under[:, :2].max(axis=0) + 60.0 - least) / CELL) + 1)
    limit = np.full((down, across), 1e6, np.float32)
    where = ((under[:, :2] - least) / CELL).round().astype(int)
    np.minimum.at(limit, (where[:, 1], where[:, 0]), under[:, 2].astype(np.float32) - CLEAR)
    # One cell all round without a rise: a vertex between cells is held down too.
    limit = np.asarray(cv2.erode(limit, np.ones((3, 3))), np.float32)
    for _ in range(26):
        limit = np.minimum(limit, cv2.erode(limit, np.ones((3, 3))) + SLOPE * CELL)
    return [replace(item, mesh=_pressed(item.mesh, limit, least)) for item in ground]


def _pressed(mesh: Mesh, limit: npt.NDArray[np.float32], least: Array) -> Mesh:
    spot = ((mesh.vertices[:, :2] - least) / CELL).round().astype(int)
    inside = np.all((spot >= 0) & (spot < np.array(limit.shape)[::-1]), axis=1)
    highest = np.full(len(spot), np.inf)
    highest[inside] = limit[spot[inside, 1], spot[inside, 0]]
    if np.all(mesh.vertices[:, 2] <= highest):
        return mesh
    vertices = mesh.vertices.copy()
    vertices[:, 2] = np.minimum(vertices[:, 2], highest)
    return Mesh(vertices, mesh.faces, mesh.uv, mesh.grid)


SAG = 1.8
"""How far in mm a curled sheet's middle may lie below its corners."""


def filled(corners: Array, step: float = CELL, sag: float = SAG) -> Array:
    """Points (n, 3) all over a sheet with these corners (4, 3), `sag` mm below them, at most `step`
    mm apart."""
    sides = (np.linalg.norm(corners[k] - corners[j]) for k, j in ((1, 0), (3, 0)))
    s, t = (np.linspace(0, 1, int(np.ceil(side / step)) + 2) for side in sides)
    u, v = (a.ravel()[:, None] for a in np.meshgrid(s, t))
    top = corners[0] + u * (corners[1] - corners[0])
    low = corners[3] + u * (corners[2] - corners[3])
    return np.asarray(top + v * (low - top) - np.array([0.0, 0.0, sag]))
