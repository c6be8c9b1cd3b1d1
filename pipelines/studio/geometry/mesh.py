"""A triangle mesh and the few operations that the studio's shapes are built from."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Index = npt.NDArray[np.int64]

_MIX, _HALF = np.uint64(0x9E3779B97F4A7C15), np.uint64(29)


@dataclass(frozen=True)
class Mesh:
    """Triangles over shared vertices.

    `vertices` (n, 3) in mm, `faces` (m, 3) indices, counter-clockwise seen from outside, `uv`
    (n, 2) texture coordinates in 0..1. `grid` (rows, columns) when the vertices are a regular grid
    in row order: u runs along the columns and v along the rows; else None.
    """

    vertices: Array
    faces: Index
    uv: Array
    grid: tuple[int, int] | None = None


def grid_mesh(points: Array, flip: bool = False) -> Mesh:
    """Mesh of a regular grid of points (rows, columns, 3); u along columns, v along rows."""
    rows, cols, _ = points.shape
    index = np.arange(rows * cols).reshape(rows, cols)
    a, b = index[:-1, :-1].ravel(), index[:-1, 1:].ravel()
    c, d = index[1:, 1:].ravel(), index[1:, :-1].ravel()
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    if flip:
        faces = faces[:, ::-1]
    u, v = np.meshgrid(np.linspace(0, 1, cols), np.linspace(0, 1, rows))
    return Mesh(points.reshape(-1, 3), faces, np.stack([u.ravel(), v.ravel()], 1), (rows, cols))


def transformed(mesh: Mesh, matrix: Array) -> Mesh:
    """The mesh moved by a 4×4 matrix without reflection."""
    vertices = mesh.vertices @ matrix[:3, :3].T + matrix[:3, 3]
    return Mesh(vertices, mesh.faces, mesh.uv, mesh.grid)


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Several meshes as one; the grid is lost."""
    offsets = np.cumsum([0] + [len(m.vertices) for m in meshes[:-1]])
    return Mesh(
        np.concatenate([m.vertices for m in meshes]),
        np.concatenate([m.faces + o for m, o in zip(meshes, offsets, strict=True)]),
        np.concatenate([m.uv for m in meshes]),
    )


def chained(meshes: Sequence[Mesh]) -> Mesh:
    """Several grid meshes of one number of columns as one grid mesh.

    The first and last row of each must lie on one point: the rows that join them are then lines
    without area, and `welded_faces` leaves them out. Raises ValueError for other meshes.
    """
    rows = []
    for mesh in meshes:
        if mesh.grid is None:
            raise ValueError("only grid meshes can be chained")
        grid = mesh.vertices.reshape(*mesh.grid, 3)
        if np.ptp(grid[[0, -1]], axis=1).max() > 1e-6:
            raise ValueError("a mesh to be chained must begin and end on a point")
        rows.append(grid)
    return grid_mesh(np.concatenate(rows))


def same_place(vertices: Array, tolerance: float = 1e-6) -> Index:
    """For each vertex (n,) the number of its place; vertices at one place share it."""
    keys = np.round(vertices / tolerance).astype(np.int64).view(np.uint64)
    # One well-mixed number for each place: sorting three takes three times as long.
    mixed = np.zeros(len(keys), np.uint64)
    for axis in range(3):
        mixed = (mixed + keys[:, axis]) * _MIX
        mixed ^= mixed >> _HALF
    return np.unique(mixed, return_inverse=True)[1].astype(np.int64)


def welded_faces(mesh: Mesh, tolerance: float = 1e-6) -> Index:
    """Faces over vertices merged by position; faces that collapse to a line or point are left out.

    Texture seams and poles double vertices: topology is judged on the welded faces.
    """
    inverse = same_place(mesh.vertices, tolerance)
    faces = inverse[mesh.faces]
    a, b, c = faces.T
    return faces[(a != b) & (b != c) & (c != a)]


def is_watertight(mesh: Mesh) -> bool:
    """True when every edge is shared by exactly two faces that run along it in opposite ways."""
    faces = welded_faces(mesh)
    start, end = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    many = int(faces.max()) + 1
    ways, backs = np.sort(start * many + end), np.sort(end * many + start)
    return bool(np.all(np.diff(ways) > 0) and np.array_equal(ways, backs))


def volume(mesh: Mesh) -> float:
    """Enclosed volume in mm³ (divergence theorem); positive when faces point outwards."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)
