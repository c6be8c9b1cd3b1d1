"""What holds a plug: fingers in gloves, the jaws of pliers, a socket. In the plug's own frame."""

from collections.abc import Callable

import numpy as np

from pipelines.studio.geometry.lathe import hexagon
from pipelines.studio.geometry.mesh import Array, Mesh, transformed
from pipelines.studio.geometry.pose import rotation
from pipelines.studio.geometry.sweep import rounded_rectangle, sweep
from pipelines.studio.materials.noise import fractal, patches, value_noise
from pipelines.studio.materials.surface import Layer, Surface, texel_points
from pipelines.studio.materials.world import matter, plain
from pipelines.studio.objects.shapes import bend, capsule, turned
from pipelines.studio.plug import FiringEnd

Made = list[tuple[str, Mesh, Surface]]
GLOVES = (
    "nitrile_blue",
    "nitrile_black",
    "nitrile_orange",
    "nitrile_green",
    "leather",
    "knit_grey",
)


def fingers(plug: FiringEnd, rng: np.random.Generator) -> Made:
    """Thumb on one side, two or three fingers on the other, on the hexagon or behind it."""
    glove = str(rng.choice(GLOVES))
    grip = -plug.reach - float(rng.uniform(7, 16))
    wide, turn = plug.hexagon / 2, float(rng.uniform(0, 360))
    out: Made = []
    spread = [(0.0, 10.5, 0.0)]
    number = int(rng.integers(2, 4))
    spread += [(180.0 + 34.0 * (k - (number - 1) / 2), 9.0, 5.0 * abs(k - 0.5)) for k in
               range(number)]  # fmt: skip
    for k, (angle, thick, back) in enumerate(spread):
        r = float(rng.uniform(0.9, 1.1)) * thick
        tip = grip + float(rng.uniform(2, 8)) - back
        off = wide + 0.82 * r
        path = bend(
            [
                (off, 0, tip),
                (off + 1, 0, tip - 18),
                (off + 14, 0, tip - 42),
                (off + 4, 0, tip - 75),
                (8.0, 0, tip - 105),
            ],
            46,
        )
        along = np.linspace(0, 1, 46)
        radii = r * (0.88 + 0.2 * along + 0.06 * np.exp(-(((along - 0.36) / 0.07) ** 2)))
        where = rotation("z", turn + angle + float(rng.uniform(-8, 8)))
        mesh = transformed(capsule(path, radii, 48), where)
        out.append((f"finger_{k}", mesh, _glove(mesh, glove, rng)))
    palm = capsule(np.linspace([0, 0, grip - 110.0], [0, 0, grip - 190.0], 12), np.full(12, 34.0))
    out.append(("palm", palm, _glove(palm, glove, rng)))
    return out


def _glove(mesh: Mesh, colour: str, rng: np.random.Generator) -> Surface:
    points = texel_points(mesh, 256, 160)
    seed = int(rng.integers(1 << 30))
    crease = value_noise(points / np.array([9.0, 9.0, 2.2]), seed)
    relief = 0.16 * crease + 0.05 * fractal(points / 0.9, seed + 1, 2)
    layers = (
        Layer(matter(colour, rng)),
        Layer(matter("dark_brown", rng), 0.6 * patches(points / 7.0, seed + 2, 0.2, 0.6, 3)),
        Layer(matter("oil"), 0.4 * patches(points / 6.0, seed + 3, 0.1, 0.4, 3)),
    )
    return Surface(layers, relief, None, points)


def pliers(plug: FiringEnd, rng: np.random.Generator) -> Made:
    """Two jaws on the hexagon or the upper insulator, coming from one side, and their handles."""
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


def socket(plug: FiringEnd, rng: np.random.Generator) -> Made:
    """A deep socket over hexagon and insulator, its mouth at the collar or a little lower."""
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


HOLDERS: dict[str, Callable[[FiringEnd, np.random.Generator], Made]] = {
    "fingers": fingers,
    "pliers": pliers,
    "socket": socket,
}
