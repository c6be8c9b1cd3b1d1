"""Damage to shapes: a cracked or chipped nose, metal that has melted.

Source of all amounts: our estimate.
"""

import numpy as np

from pipelines.studio.firing_end import FiringEnd
from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.materials.noise import fractal

CRACK_WIDTH = 0.06
CRACK_DEPTH = 0.12


def crack_distance(plug: FiringEnd, points: Array) -> Array:
    """Distance in mm (…) of points (…, 3) on the nose from its crack; inf without one.

    The crack starts at the electrode's hole, crosses the end face and wanders down the wall to the
    depth `plug.crack`.
    """
    depth = plug.projection - points[..., 2]
    if plug.crack <= 0:
        return np.full(depth.shape, np.inf)
    radius = np.hypot(points[..., 0], points[..., 1])
    # Along the crack: outwards over the face, then down the wall.
    run = np.stack([0.9 * radius, 0.9 * depth, np.full(depth.shape, 0.37)], -1)
    wander = np.radians(plug.crack_turn) + 0.5 * fractal(run, plug.seed + 41, 4, 0.6)
    away = np.angle(np.exp(1j * (np.arctan2(points[..., 1], points[..., 0]) - wander)))
    distance = np.hypot(radius * np.abs(away), np.maximum(0.0, depth - plug.crack))
    hole = max(plug.electrode, plug.electrode_base) / 2 + 0.1
    return np.where(radius > hole, distance, np.inf)


def _over_the_break(plug: FiringEnd, points: Array) -> tuple[Array, Array]:
    """How far points lie outside the face along which a piece broke off, and its normal."""
    turn, slope = np.radians([plug.chip_turn, plug.chip_slope])
    normal = np.array([np.cos(turn) * np.cos(slope), np.sin(turn) * np.cos(slope), np.sin(slope)])
    edge = plug.nose_tip / 2 * np.cos(slope) + plug.projection * np.sin(slope)
    uneven = 0.16 * fractal(points / 0.9, plug.seed + 43, 3)
    return points @ normal - (edge - plug.chip) + uneven, normal


def broken(plug: FiringEnd, points: Array) -> Array:
    """1 on the fresh fracture face of a chipped nose, 0 elsewhere (…), for points (…, 3) on it."""
    if plug.chip <= 0:
        return np.zeros(points.shape[:-1])
    over, _ = _over_the_break(plug, points)
    return np.clip(1.5 + over / 0.05, 0.0, 1.0)


def damaged_nose(plug: FiringEnd, mesh: Mesh) -> Mesh:
    """The nose with its crack as a fine groove and without the piece that broke off."""
    points = mesh.vertices
    if plug.crack > 0:
        groove = np.exp(-((crack_distance(plug, points) / CRACK_WIDTH) ** 2))
        radius = np.maximum(np.hypot(points[:, 0], points[:, 1]), 1e-9)
        out = np.stack([points[:, 0] / radius, points[:, 1] / radius, np.zeros(len(points))], 1)
        face = np.clip(1 - (plug.projection - points[:, 2]) / 0.3, 0, 1)[:, None]
        inward = (1 - face) * out + face * np.array([0.0, 0.0, 1.0])
        points = points - CRACK_DEPTH * groove[:, None] * inward
    if plug.chip > 0:
        over, normal = _over_the_break(plug, points)
        points = points - np.maximum(over, 0.0)[:, None] * normal
    return Mesh(points, mesh.faces, mesh.uv, mesh.grid)


def slumped(mesh: Mesh, amount: float, size: float, seed: int, above: float) -> Mesh:
    """Molten metal: what is higher than `above` moved by up to `amount` in lumps of `size` (mm)."""
    points = mesh.vertices
    drift = np.stack([fractal(points / size, seed + k, 2) for k in range(3)], -1)
    grown = np.clip((points[:, 2:] - above) / 0.5, 0.0, 1.0)
    return Mesh(points + amount * grown * drift, mesh.faces, mesh.uv, mesh.grid)
