"""Lamps, windows and the room round the bench, as shapes with a power; the spectrum comes later."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

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


ROWS, COLUMNS = 96, 192
"""Of the room's map."""


def at(azimuth: float, elevation: float, distance: float) -> tuple[float, float, float]:
    """Point at a direction in degrees and a distance in mm from the origin."""
    a, e = np.radians([azimuth, elevation])
    x, y, z = distance * np.array([np.cos(e) * np.cos(a), np.cos(e) * np.sin(a), np.sin(e)])
    return float(x), float(y), float(z)


def room_glow(seed: int) -> Array:
    """Radiance of the room's walls (`ROWS`, `COLUMNS`), mean about 1: row 0 overhead, columns all
    round.

    A pale ceiling with a panel, walls with windows, shelves and doors, someone standing there, a
    dim floor. Polished metal shows it: without edges and dark places in it, metal looks like clay.
    """
    rng = np.random.default_rng([seed, 31])
    theta, phi = np.meshgrid(
        (np.arange(ROWS) + 0.5) / ROWS * np.pi,
        (np.arange(COLUMNS) + 0.5) / COLUMNS * 2 * np.pi,
        indexing="ij",
    )
    way = np.stack([np.sin(theta) * np.cos(phi), np.sin(theta) * np.sin(phi), np.cos(theta)], -1)
    up, turn = 90.0 - np.degrees(theta), np.degrees(phi)
    wall = float(rng.uniform(0.3, 0.9))
    glow = np.where(up > 38, rng.uniform(0.8, 1.3), np.where(up > -8, wall, 0.22))
    glow = glow * np.clip(1 + 0.5 * fractal(way * 3.0, seed, 3), 0.3, 1.7)
    for _ in range(int(rng.integers(1, 5))):
        _shelf(glow, up, turn, rng)
    for _ in range(int(rng.integers(0, 3))):
        door = _inside(up, turn, rng.uniform(-12, 5), rng.uniform(0, 360), 40.0, 18.0)
        glow[door] = 0.06
    for _ in range(int(rng.integers(1, 4))):
        _window(glow, up, turn, rng)
    panel = _inside(up, turn, rng.uniform(48, 72), rng.uniform(0, 360), 6.0, rng.uniform(15, 50))
    glow[panel] = float(rng.uniform(1.8, 3.2))
    _someone(glow, up, turn, rng)
    weight = np.sin(theta)
    return np.asarray(glow / ((glow * weight).sum() / weight.sum()))


def _inside(
    up: Array, turn: Array, middle: float, azimuth: float, tall: float, wide: float
) -> npt.NDArray[np.bool_]:
    """Where the walls lie within `tall` and `wide` degrees, half sides, of a place on them."""
    off = (turn - azimuth + 180.0) % 360.0 - 180.0
    return np.asarray((np.abs(up - middle) < tall) & (np.abs(off) < wide))


def _window(glow: Array, up: Array, turn: Array, rng: np.random.Generator) -> None:
    """Bright panes in a dark frame."""
    middle, azimuth = float(rng.uniform(8, 34)), float(rng.uniform(0, 360))
    tall, wide = float(rng.uniform(7, 15)), float(rng.uniform(6, 20))
    glow[_inside(up, turn, middle, azimuth, tall + 2.5, wide + 2.5)] = 0.12
    high, across = int(rng.integers(1, 4)), int(rng.integers(1, 4))
    sky = float(rng.uniform(1.8, 3.2))
    for i in range(high):
        for j in range(across):
            pane = _inside(
                up,
                turn,
                middle + tall * (2 * i + 1 - high) / high,
                azimuth + wide * (2 * j + 1 - across) / across,
                tall / high - 1.0,
                wide / across - 1.0,
            )
            glow[pane] = sky * float(rng.uniform(0.75, 1.1))


def _shelf(glow: Array, up: Array, turn: Array, rng: np.random.Generator) -> None:
    """A board with pale and dark things of several sizes on it, and the shadow below it."""
    level, azimuth = float(rng.uniform(-5, 30)), float(rng.uniform(0, 360))
    wide = float(rng.uniform(15, 50))
    glow[_inside(up, turn, level - 3.0, azimuth, 3.0, wide)] *= 0.2
    glow[_inside(up, turn, level, azimuth, 1.2, wide)] = float(rng.uniform(0.1, 1.4))
    for _ in range(int(rng.integers(3, 9))):
        tall, half = float(rng.uniform(2, 7)), float(rng.uniform(1.5, 5))
        spot = azimuth + float(rng.uniform(-1, 1)) * (wide - half)
        thing = _inside(up, turn, level + 1.2 + tall, spot, tall, half)
        glow[thing] = float(np.exp(rng.uniform(np.log(0.05), np.log(1.8))))


def _someone(glow: Array, up: Array, turn: Array, rng: np.random.Generator) -> None:
    """Whoever holds the camera or stands at the bench: a dark shape with a head."""
    azimuth, high = float(rng.uniform(0, 360)), float(rng.uniform(18, 50))
    shade = float(rng.uniform(0.03, 0.15))
    off = (turn - azimuth + 180.0) % 360.0 - 180.0
    wide = float(rng.uniform(14, 30))
    body = (np.abs(off) < wide * np.clip((high - up) / 14.0, 0, 1) ** 0.5) & (up < high)
    head = np.hypot(off * np.cos(np.radians(high)), up - high - 5.0) < 8.0
    glow[body | head] = shade
