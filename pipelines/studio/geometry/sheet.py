"""Flat things: the bench card with its cut-outs, bench tops, a crumpled rag."""

from itertools import pairwise

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh, joined
from pipelines.studio.materials.noise import fractal, value_noise

Box = tuple[float, float, float, float]


def _cuts(length: float, marks: list[float], step: float) -> Array:
    edges = sorted({0.0, length, *marks})
    pieces = [
        np.linspace(a, b, max(1, int(np.ceil((b - a) / step))) + 1)[:-1] for a, b in pairwise(edges)
    ]
    return np.concatenate([*pieces, [length]])


def card_sheet(
    width: float,
    height: float,
    windows: list[Box],
    hole_centre: tuple[float, float],
    hole_radius: float,
    step: float = 4.0,
) -> Mesh:
    """Sheet with rectangular windows (x, y, w, h) and one round hole, in card coordinates.

    Card coordinates are mm from the top left corner, x right, y down; the mesh has x right, y up
    (so y is negative) and z = 0, facing +z. uv are card coordinates divided by width and height.
    """
    cx, cy = hole_centre
    half = hole_radius + 3.0
    xs = _cuts(
        width, [cx - half, cx + half, *(e for x, _, w, _ in windows for e in (x, x + w))], step
    )
    ys = _cuts(
        height, [cy - half, cy + half, *(e for _, y, _, h in windows for e in (y, y + h))], step
    )
    grid = np.stack(np.meshgrid(xs, ys), -1)
    middle = (grid[:-1, :-1] + grid[1:, 1:]) / 2
    keep = np.maximum(abs(middle[..., 0] - cx), abs(middle[..., 1] - cy)) > half
    for x, y, w, h in windows:
        inside = (abs(middle[..., 0] - x - w / 2) < w / 2) & (
            abs(middle[..., 1] - y - h / 2) < h / 2
        )
        keep &= ~inside
    index = np.arange(grid[..., 0].size).reshape(grid.shape[:2])
    a, b = index[:-1, :-1][keep], index[:-1, 1:][keep]
    c, d = index[1:, 1:][keep], index[1:, :-1][keep]
    faces = np.concatenate([np.stack([a, c, b], 1), np.stack([a, d, c], 1)])
    flat = grid.reshape(-1, 2)

    angle = np.linspace(0, 2 * np.pi, 97)
    ray = np.stack([np.cos(angle), np.sin(angle)], 1)
    rim = hole_radius * ray
    square = half * ray / np.abs(ray).max(1, keepdims=True)
    t = np.linspace(0, 1, 4)[:, None, None]
    ring_points = np.array([cx, cy]) + rim + (square - rim) * t
    ring = grid_mesh(np.concatenate([ring_points, np.zeros_like(ring_points[..., :1])], -1))

    both = joined([Mesh(np.concatenate([flat, np.zeros((len(flat), 1))], 1), faces, flat), ring])
    plane = both.vertices[:, :2]
    uv = plane / np.array([width, height])
    vertices = np.stack([plane[:, 0], -plane[:, 1], np.zeros(len(plane))], 1)
    # y turns round here, and the ring was built the other way than the grid.
    return Mesh(vertices, _facing_up(vertices, both.faces), uv)


def _facing_up(vertices: Array, faces: Array) -> Array:
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    down = np.cross(b - a, c - a)[:, 2] < 0
    return np.where(down[:, None], faces[:, ::-1], faces)


def plane(width: float, height: float, z: float = 0.0) -> Mesh:
    """Horizontal rectangle round the origin, facing up."""
    x, y = np.meshgrid([-width / 2, width / 2], [-height / 2, height / 2])
    return grid_mesh(np.stack([x, y, np.full_like(x, z)], -1))


def rag(width: float, height: float, fold: float, seed: int, step: float = 0.8) -> Mesh:
    """A cloth thrown down: soft folds up to about `fold` mm high, ragged outline, facing up."""
    nx, ny = int(width / step), int(height / step)
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, nx), np.linspace(-0.5, 0.5, ny))
    where = np.stack([x * width, y * height, np.zeros_like(x)], -1)
    # Long folds that run to a pinch, each a soft ridge with a flat valley beside it.
    warp = fractal(where / 90.0, seed, 2)
    ridge = np.zeros_like(x)
    for k in range(3):
        wave = value_noise(
            where / np.array([95.0, 38.0, 1.0]) + 0.6 * warp[..., None] + 9.1 * k, seed + 1 + k
        )
        ridge = np.maximum(
            ridge,
            np.exp(-((wave / 0.16) ** 2)) * (0.55 + 0.45 * value_noise(where / 55.0, seed + 7 + k)),
        )
    z = fold * (0.85 * ridge + 0.12 * (fractal(where / 22.0, seed + 5, 2) + 1)) + 0.6
    edge = np.minimum(0.5 - np.abs(x), 0.5 - np.abs(y)) * min(width, height)
    z = 0.4 + (z - 0.4) * np.clip(edge / 12.0, 0.0, 1.0)
    shift = 5.0 * np.stack(
        [fractal(where / 30.0, seed + 2, 2), fractal(where / 30.0, seed + 3, 2)], -1
    )
    points = np.concatenate([where[..., :2] + shift, z[..., None]], -1)
    return grid_mesh(points)
