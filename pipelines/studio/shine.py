"""Lamps and the room as the renderer sees them (needs Mitsuba): where they are hit, and by chance.

They are kept as numbers rather than as Mitsuba's emitters: the compiled code is then the same for
every scene, and compiling takes far longer than tracing a small picture.
"""

from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from pipelines.studio.buffers import held
from pipelines.studio.lights.lamps import Lamp, Lighting, room_glow

ROOM_RADIUS = 1500.0
MOST_LAMPS = 3
WIDTH = 16
"""Numbers of a lamp: place, normal, two half axes (3 each), radiance, area, chance, roundness."""


@dataclass(frozen=True)
class Shine:
    """`lamps`, `WIDTH` numbers each, and their `numbers` 0, 1 and 2; the room's `walls`, rows ×
    columns radiances; both flat."""

    lamps: Any
    numbers: tuple[Any, ...]
    walls: Any
    rows: int
    columns: int


def shine(lighting: Lighting) -> Shine:
    """The lighting as the renderer's arrays. Raises ValueError for more than `MOST_LAMPS` lamps."""
    if len(lighting.lamps) > MOST_LAMPS:
        raise ValueError(f"{len(lighting.lamps)} lamps; the renderer takes {MOST_LAMPS}")
    numbers = np.zeros((MOST_LAMPS, WIDTH), np.float32)
    for row, lamp in zip(numbers, lighting.lamps, strict=False):
        row[:] = _numbers(lamp, 1 / len(lighting.lamps))
    walls = (lighting.room * room_glow(lighting.room_seed)).astype(np.float32)
    # Opaque indices: what is read at a fixed place would be read while the code is written.
    places = tuple(mi.UInt32(k) for k in range(MOST_LAMPS))
    dr.make_opaque(places)
    return Shine(held(mi.Float, numbers), places, held(mi.Float, walls), *walls.shape)


def _numbers(lamp: Lamp, chance: float) -> list[float]:
    normal = np.subtract(lamp.aim, lamp.place)
    normal = normal / np.linalg.norm(normal)
    up = [0.0, 1.0, 0.0] if abs(normal[2]) > 0.99 else [0.0, 0.0, 1.0]
    across = np.cross(up, normal)
    across = across / np.linalg.norm(across)
    half_u = across * lamp.size[0] / 2
    half_v = np.cross(normal, across) * lamp.size[1] / 2
    round_ = lamp.shape == "disk"
    area = lamp.size[0] * lamp.size[1] * (np.pi / 4 if round_ else 1.0)
    return [*lamp.place, *normal, *half_u, *half_v, lamp.radiance, area, chance, float(round_)]


@dataclass(frozen=True)
class _Plate:
    place: Any
    normal: Any
    half_u: Any
    half_v: Any
    radiance: Any
    area: Any
    chance: Any
    round_: Any


def _plate(shine: Shine, number: Any) -> _Plate:
    packets = [dr.gather(mi.Vector4f, shine.lamps, number * 4 + k) for k in range(4)]
    n = [packet[k] for packet in packets for k in range(4)]
    vectors = (mi.Vector3f(*n[k : k + 3]) for k in (0, 3, 6, 9))
    return _Plate(*vectors, *n[12:])


def lamp_seen(shine: Shine, ray: Any, reach: Any) -> tuple[Any, Any]:
    """Radiance of the nearest lamp along the rays within `reach`, 0 for none, and the density with
    which `towards_lamp` draws that direction."""
    nearest, light, density = mi.Float(reach), mi.Float(0.0), mi.Float(0.0)
    for k in range(MOST_LAMPS):
        plate = _plate(shine, shine.numbers[k])
        facing = -dr.dot(ray.d, plate.normal)
        away = dr.dot(mi.Vector3f(ray.o) - plate.place, plate.normal)
        t = away / dr.maximum(facing, 1e-9)
        spot = mi.Vector3f(ray.o) + t * ray.d - plate.place
        u = dr.dot(spot, plate.half_u) / dr.maximum(dr.squared_norm(plate.half_u), 1e-9)
        v = dr.dot(spot, plate.half_v) / dr.maximum(dr.squared_norm(plate.half_v), 1e-9)
        inside = dr.select(plate.round_ > 0, u * u + v * v < 1, (dr.abs(u) < 1) & (dr.abs(v) < 1))
        hit = inside & (facing > 1e-6) & (t > 0) & (t < nearest) & (plate.chance > 0)
        nearest = dr.select(hit, t, nearest)
        light = dr.select(hit, plate.radiance, light)
        density = dr.select(
            hit, plate.chance * t * t / (dr.maximum(plate.area, 1e-9) * facing), density
        )
    return light, density


def towards_lamp(shine: Shine, point: Any, lamp: Any, place: Any) -> tuple[Any, Any, Any]:
    """A spot on a lamp drawn by the random numbers `lamp` and `place` (2): the spot, its radiance
    towards `point` and the density of that direction, 0 where the lamp looks the other way."""
    first = _plate(shine, shine.numbers[0])
    many = dr.select(first.chance > 0, 1 / dr.maximum(first.chance, 1e-9), 1.0)
    number = mi.UInt32(dr.minimum(dr.floor(lamp * many), many - 1))
    plate = _plate(shine, number)
    disk, square = mi.warp.square_to_uniform_disk_concentric(place), 2 * place - 1
    on = dr.select(plate.round_ > 0, disk, square)
    spot = plate.place + on.x * plate.half_u + on.y * plate.half_v
    away = spot - point
    d2 = dr.squared_norm(away)
    facing = -dr.dot(away, plate.normal) * dr.rsqrt(d2)
    good = (facing > 1e-6) & (plate.chance > 0)
    density = plate.chance * d2 / dr.maximum(plate.area * facing, 1e-9)
    return spot, plate.radiance, dr.select(good, density, 0.0)


def room(shine: Shine, ray: Any) -> Any:
    """Radiance of the room's wall along the rays."""
    origin = mi.Vector3f(ray.o)
    b = dr.dot(origin, ray.d)
    t = -b + dr.safe_sqrt(b * b - dr.squared_norm(origin) + ROOM_RADIUS**2)
    way = dr.normalize(origin + t * ray.d)
    around = dr.atan2(way.y, way.x) * (0.5 * dr.inv_pi)
    x = (around - dr.floor(around)) * shine.columns
    y = dr.safe_acos(way.z) * dr.inv_pi * (shine.rows - 1)
    left, top = dr.floor(x), dr.minimum(dr.floor(y), shine.rows - 2)
    s, t = x - left, y - top
    total = mi.Float(0.0)
    for row, b in ((top, 1 - t), (top + 1, t)):
        for step, a in ((0, 1 - s), (1, s)):
            # All round: past the last column comes the first.
            column = (mi.UInt32(left) + step) % shine.columns
            wall = mi.UInt32(row) * shine.columns + column
            total += a * b * dr.gather(mi.Float, shine.walls, wall)
    return total
