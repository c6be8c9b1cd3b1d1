"""Other workshop parts: bolts, nuts, washers, coil springs."""

import numpy as np

from pipelines.studio.geometry.lathe import hexagon, lathe, resampled, thread
from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.geometry.sweep import circle, sweep


def bolt(size: float, pitch: float, length: float) -> Mesh:
    """Hexagon bolt (ISO proportions, from memory), head at the bottom, shank up to z = length."""
    r, flat, head = size / 2, 1.55 * size / 2, 0.65 * size
    corner = flat / np.cos(np.pi / 6)
    profile = np.array(
        [
            [0, -head],
            [flat * 0.93, -head],
            [corner, -head + 0.25 * (corner - flat * 0.93) + 0.35],
            [corner, 0],
            [r, 0],
            [r, length - 0.15 * size],
            [r - 0.62 * pitch, length],
            [0, length],
        ]
    )
    cut = thread(pitch, 0.3 * length, length + 1.0, 0.61 * pitch, 1.0)
    six = hexagon(2 * flat)

    def change(radius: Array, z: Array, angle: Array) -> Array:
        shank = cut(np.where(z > 0.01, radius, 0.0), z, angle)
        return np.where(z > 0.01, np.minimum(shank, r), six(radius, z, angle))

    return lathe(resampled(profile, 0.12, 0.15), 192, change)


def nut(size: float, height: float) -> Mesh:
    """Hexagon nut with a chamfered hole, standing on z = 0."""
    r, flat = size / 2 * 0.9, 1.55 * size / 2
    corner = flat / np.cos(np.pi / 6)
    profile = np.array(
        [
            [r + 0.6, 0],
            [flat * 0.95, 0],
            [corner, 0.7],
            [corner, height - 0.7],
            [flat * 0.95, height],
            [r + 0.6, height],
            [r, height - 0.6],
            [r, 0.6],
            [r + 0.6, 0],
        ]
    )
    six = hexagon(2 * flat)
    return lathe(resampled(profile, 0.2, 0.15), 192, six)


def washer(inner: float, outer: float, height: float) -> Mesh:
    """Flat washer, diameters in mm, standing on z = 0."""
    a, b = inner / 2, outer / 2
    profile = np.array([[a, 0], [b, 0], [b, height], [a, height], [a, 0.0]])
    return lathe(resampled(profile, 0.4, 0.15), 128)


def coil_spring(diameter: float, wire: float, turns: float, pitch: float) -> Mesh:
    """Compression spring along z, ends closed up; diameters to the middle of the wire."""
    t = np.linspace(0, turns, int(turns * 60))
    ends = np.minimum(1.0, np.minimum(t, turns - t) / 1.2)
    rise = np.cumsum(wire * 1.04 + (pitch - wire * 1.04) * ends) * (t[1] - t[0])
    angle = 2 * np.pi * t
    path = np.stack([diameter / 2 * np.cos(angle), diameter / 2 * np.sin(angle), rise], 1)
    side = np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], 1)
    return sweep(path, side, circle(wire / 2, 18))


def drop(radius: float, height: float) -> Mesh:
    """A drop sitting on z = 0: a flat cap with a closed base."""
    t = np.linspace(0, np.pi / 2, 12)
    arc = np.stack([radius * np.cos(t), height * np.sin(t)], 1)
    return lathe(np.concatenate([[[0, -0.2], [radius, -0.2]], arc]), 32)
