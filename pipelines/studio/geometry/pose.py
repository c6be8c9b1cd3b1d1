"""Rigid motions as 4×4 matrices."""

import numpy as np

from pipelines.studio.geometry.mesh import Array


def rotation(axis: str, degrees: float) -> Array:
    """Rotation about the x, y or z axis, counter-clockwise seen from the axis' tip."""
    i, j = {"x": (1, 2), "y": (2, 0), "z": (0, 1)}[axis]
    t = np.radians(degrees)
    out = np.eye(4)
    out[i, i] = out[j, j] = np.cos(t)
    out[i, j], out[j, i] = -np.sin(t), np.sin(t)
    return out


def translation(x: float, y: float, z: float) -> Array:
    """Shift in mm."""
    out = np.eye(4)
    out[:3, 3] = x, y, z
    return out
