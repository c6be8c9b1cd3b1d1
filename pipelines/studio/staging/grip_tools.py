"""Tools that hold a plug, in the plug's own frame: the jaws of pliers, a socket."""

from collections.abc import Callable

import numpy as np

from pipelines.studio.geometry.lathe import hexagon
from pipelines.studio.geometry.mesh import Array, Mesh, transformed
from pipelines.studio.geometry.pose import rotation
from pipelines.studio.geometry.sweep import rounded_rectangle, sweep
from pipelines.studio.materials.surface import Surface
from pipelines.studio.materials.world import plain
from pipelines.studio.objects.shapes import bend, turned
from pipelines.studio.plug import FiringEnd

Made = list[tuple[str, Mesh, Surface]]


def pliers(plug: FiringEnd, rng: np.random.Generator, _glove: str | None = None) -> Made:
    """Two jaws on the hexagon or the upper insulator, coming from one side, and their handles.

    No hand is seen: `_glove` says nothing here.
    """
    at_hex = rng.random() < 0.6
    z = -plug.reach - (float(rng.uniform(7, 14)) if at_hex else float(rng.uniform(24, 36)))
    half = plug.hexagon / 2 if at_hex else 5.3
    turn = float(rng.uniform(0, 360))
    slope = float(rng.uniform(-0.55, 0.04))
    metal = str(rng.choice(["tool_chrome", "black_oxide", "steel"]))
    grip = str(rng.choice(["grip_red", "plastic_blue", "plastic_black", "plastic_yellow"]))
    jaw, handle = rounded_rectangle(5.5, 9.0, 1.4), rounded_rectangle(9.0, 11.0, 4.0)
    out: Made = []
    for k, side in enumerate((1.0, -1.0)):
        gap = side * (half + 2.6)
        path = bend(
            [
                (-9, gap * 0.97, z - 9 * slope),
                (14, gap, z + 14 * slope),
                (40, side * 6.0, z + 40 * slope),
                (58, side * 4.0, z + 58 * slope),
            ],
            40,
        )
        rear = bend(
            [
                (50, side * 4.0, z + 50 * slope),
                (75, -side * 8.0, z + 75 * slope),
                (120, -side * 20.0, z + 120 * slope),
                (180, -side * 17.0, z + 180 * slope),
            ],
            40,
        )
        out.append((f"jaw_{k}", _bar(path, jaw, turn), plain(metal, rng)))
        out.append((f"handle_{k}", _bar(rear, handle, turn), plain(grip, rng)))
    return out


def _bar(path: Array, outline: Array, turn: float) -> Mesh:
    across = np.cross(np.gradient(path, axis=0), [0.0, 0.0, 1.0])
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    return transformed(sweep(path, across, outline), rotation("z", turn))


def socket(plug: FiringEnd, rng: np.random.Generator, _glove: str | None = None) -> Made:
    """A deep socket over hexagon and insulator, its mouth at the collar or a little lower.

    No hand is seen: `_glove` says nothing here.
    """
    top = -plug.reach - float(rng.uniform(2.5, 6))
    long = float(rng.uniform(58, 72))
    inner = plug.hexagon / 2 + 0.2
    outer = inner / np.cos(np.pi / 6) + float(rng.uniform(2.0, 3.2))
    neck = 0.88 * outer
    wall = turned(
        [(0, 0), (neck, 0), (neck, 0.35 * long), (outer, 0.42 * long), (outer, long),
         (inner + 1.6, long), (inner + 1.0, long - 1.5), (inner + 1.0, 10), (0, 10)],
        0.8, 144, _mouth(plug.hexagon + 0.4, inner + 1.7),
    )  # fmt: skip
    down = np.eye(4)
    down[2, 3] = top - long
    metal = str(rng.choice(["tool_chrome", "black_oxide", "steel"]))
    return [("socket", transformed(wall, down), plain(metal, rng))]


def _mouth(across_flats: float, below: float) -> Callable[[Array, Array, Array], Array]:
    """Opens the bore to a hexagon: radii under `below` grow to the flats and corners."""
    limit = hexagon(across_flats)

    def change(radius: Array, z: Array, angle: Array) -> Array:
        six = limit(np.full_like(radius, 1e3), z, angle)
        return np.where((radius < below) & (radius > 0.3 * below) & (z > 8), six, radius)

    return change
