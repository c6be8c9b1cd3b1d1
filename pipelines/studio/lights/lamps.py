"""Lamps, windows and the room round the bench, as shapes with a power; the spectrum comes later."""

from dataclasses import dataclass

import numpy as np

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.materials.noise import fractal


@dataclass(frozen=True)
class Lamp:
    """A glowing plate: `disk` or `rectangle`, at `place`, facing `aim`; lengths in mm.

    `size` is its width and height, `radiance` in the scene's own unit (the camera sets exposure).
    """

    shape: str
    place: tuple[float, float, float]
    aim: tuple[float, float, float]
    size: tuple[float, float]
    radiance: float


@dataclass(frozen=True)
class Lighting:
    """Lamps and the room's own glow, all of one illuminant; several of these make mixed light."""

    illuminant: str
    lamps: tuple[Lamp, ...]
    room: float
    room_seed: int


def at(azimuth: float, elevation: float, distance: float) -> tuple[float, float, float]:
    """Point at a direction in degrees and a distance in mm from the origin."""
    a, e = np.radians([azimuth, elevation])
    x, y, z = distance * np.array([np.cos(e) * np.cos(a), np.cos(e) * np.sin(a), np.sin(e)])
    return float(x), float(y), float(z)


def room_glow(seed: int) -> Array:
    """Radiance of the room's walls (64, 128), mean about 1: row 0 overhead, columns all round.

    A pale ceiling, walls with shelves and dark doors, a dim floor. Metals show it.
    """
    theta, phi = np.meshgrid(
        np.linspace(0, np.pi, 64), np.linspace(0, 2 * np.pi, 128), indexing="ij"
    )
    way = np.stack([np.sin(theta) * np.cos(phi), np.sin(theta) * np.sin(phi), np.cos(theta)], -1)
    up = way[..., 2]
    base = np.where(up > 0.55, 1.7, np.where(up > -0.1, 0.75, 0.3))
    clutter = fractal(way * np.array([4.0, 4.0, 9.0]), seed, 3)
    glow = base * np.clip(1 + 0.9 * clutter, 0.08, 2.2)
    weight = np.sin(theta)
    return np.asarray(glow / ((glow * weight).sum() / weight.sum()))
