"""Workshop parts that could be taken for a firing end: meshes with their matters.

Each maker gives pieces (name, mesh, matter's name) in the part's own frame, z its long axis, the
"business end" up, its lowest point at z = 0. Measures: our estimate of usual sizes.
"""

from collections.abc import Callable

import numpy as np

from pipelines.studio.geometry.hardware import bolt, coil_spring, nut
from pipelines.studio.geometry.lathe import hexagon, thread
from pipelines.studio.geometry.mesh import Array, transformed
from pipelines.studio.geometry.pose import translation
from pipelines.studio.objects.electric import ELECTRIC
from pipelines.studio.objects.engine import ENGINE
from pipelines.studio.objects.fasteners import FASTENERS
from pipelines.studio.objects.forms import Piece
from pipelines.studio.objects.pipes import PIPES
from pipelines.studio.objects.shapes import bend, hose, turned
from pipelines.studio.objects.tools import TOOLS
from pipelines.studio.objects.wheels import WHEELS


def _bolt(rng: np.random.Generator) -> list[Piece]:
    size, pitch = [(6.0, 1.0), (8.0, 1.25), (10.0, 1.5), (14.0, 1.25)][rng.integers(4)]
    shank = bolt(size, pitch, float(rng.uniform(2, 5)) * size)
    metal = str(rng.choice(["steel", "plating", "black_oxide", "scaled"]))
    pieces = [("bolt", transformed(shank, translation(0, 0, 0.65 * size)), metal)]
    if rng.random() < 0.3:
        up = translation(0, 0, 0.65 * size + float(rng.uniform(0.3, 1.2)) * size)
        pieces.append(("nut", transformed(nut(size, 0.8 * size), up), "plating"))
    return pieces


def _bulb_base(rng: np.random.Generator) -> list[Piece]:
    r = float(rng.choice([4.8, 6.9, 7.5]))
    pitch, high = 0.32 * r, float(rng.uniform(2.2, 2.8)) * r

    def screw(radius: Array, z: Array, angle: Array) -> Array:
        wave = np.cos(2 * np.pi * (z / pitch - angle / (2 * np.pi)))
        inside = (z > 0.5) & (z < high - 0.5) & (radius > 0.8 * r)
        return np.where(inside, radius + 0.06 * r * wave, radius)

    base = turned([(0, 0), (0.9 * r, 0), (r, 0.6), (r, high), (0.75 * r, high + 1), (0, high + 1)],
                  change=screw, step=0.2)  # fmt: skip
    glass = turned(
        [(0, high + 0.4), (0.5 * r, high + 0.4), (0.42 * r, high + 3.2), (0, high + 3.3)], 0.3
    )
    tip = turned([(0, high + 3.2), (0.35 * r, high + 3.2), (0.3 * r, high + 4), (0, high + 4.2)])
    metal = str(rng.choice(["brass", "plating", "aluminium"]))
    return [("base", base, metal), ("insulator", glass, "plastic_black"), ("contact", tip, "steel")]


def _pen(rng: np.random.Generator) -> list[Piece]:
    r, long = float(rng.uniform(4, 5.5)), float(rng.uniform(90, 130))
    body = turned([(0, 0), (r, 0), (r, long), (0.8 * r, long + 1), (0, long + 1)], 0.5)
    cone = turned([(0, long), (0.8 * r, long), (1.0, long + 14), (0.5, long + 17), (0, long + 17)])
    ball = turned([(0, long + 16), (0.5, long + 16), (0.4, long + 18), (0, long + 18.3)], 0.1)
    colour = str(rng.choice(["plastic_blue", "plastic_black", "plastic_white", "plastic_yellow"]))
    tip = str(rng.choice(["brass", "plating", "plastic_black"]))
    return [("body", body, colour), ("cone", cone, tip), ("ball", ball, "steel")]


def _drill(rng: np.random.Generator) -> list[Piece]:
    r, long = float(rng.uniform(2, 7)), float(rng.uniform(50, 110))
    lead, flutes_from = 8.0 * r, 0.35 * long

    def flutes(radius: Array, z: Array, angle: Array) -> Array:
        a = np.abs(np.mod(2 * (angle - 2 * np.pi * z / lead), 2 * np.pi) - np.pi)
        groove = 0.5 * np.clip((a - 1.2) / 0.9, 0, 1)
        return np.where(z > flutes_from, radius * (1 - groove), radius)

    body = turned([(0, 0), (0.95 * r, 0), (r, 1.0), (r, long), (0.05 * r, long + 0.6 * r),
                   (0, long + 0.6 * r)], 0.1, 144, flutes, 0.5)  # fmt: skip
    return [("drill", body, str(rng.choice(["steel", "black_oxide", "brass", "tool_chrome"])))]


def _injector(rng: np.random.Generator) -> list[Piece]:
    r = float(rng.uniform(5.5, 8))
    body = turned([(0, 0), (r, 0), (r, 18), (0.8 * r, 20), (0.8 * r, 30), (0.6 * r, 31),
                   (0.6 * r, 42), (0.5 * r, 43), (0, 43)], 0.4)  # fmt: skip
    seal = turned([(0, 33), (0.72 * r, 33), (0.78 * r, 34.5), (0.72 * r, 36), (0, 36)], 0.8)
    plate = turned([(0, 42.8), (0.42 * r, 42.8), (0.4 * r, 43.4), (0, 43.4)], 0.1)
    pieces: list[Piece] = [("body", body, str(rng.choice(["steel", "plating", "plastic_black"])))]
    pieces += [("seal", seal, str(rng.choice(["nitrile_green", "plastic_black", "grip_red"])))]
    pieces += [("plate", plate, "brass")]
    for k in range(int(rng.integers(1, 5))):
        a = 2 * np.pi * k / 4
        hole = turned([(0, 0), (0.4, 0), (0.4, 0.1), (0, 0.1)], 0.02, 24)
        where = translation(0.2 * r * np.cos(a), 0.2 * r * np.sin(a), 43.36)
        pieces.append((f"hole{k}", transformed(hole, where), "soot"))
    return pieces


def _sensor(rng: np.random.Generator) -> list[Piece]:
    r, wide = float(rng.choice([6.0, 7.0, 9.0])), float(rng.choice([17.0, 19.0, 22.0]))
    six = hexagon(wide)
    corner = wide / 2 / np.cos(np.pi / 6)
    head = turned([(0, 12), (corner - 1, 12), (corner, 13), (corner, 20), (corner - 1, 21),
                   (0, 21)], 0.3, 144, six)  # fmt: skip
    cut = thread(1.5, 21.5, 33.0, 0.9, 0.6)
    stem = turned([(0, 20.5), (r, 20.5), (r, 33), (r - 1, 34), (0, 34)], 0.2, 160, cut, 0.12)
    nose = turned([(0, 33), (0.62 * r, 33), (0.6 * r, 46), (0.5 * r, 47.5), (0, 47.5)], 0.6)
    plug = turned([(0, 0), (0.4 * wide, 0), (0.42 * wide, 12), (0, 12)], 0.8)
    return [
        ("socket", plug, str(rng.choice(["plastic_black", "enamel_grey"]))),
        ("head", head, str(rng.choice(["brass", "plating", "steel"]))),
        ("stem", stem, str(rng.choice(["brass", "plating", "scaled"]))),
        ("probe", nose, str(rng.choice(["brass", "steel", "scaled", "ceramic"]))),
    ]


def _valve(rng: np.random.Generator) -> list[Piece]:
    r, stem = float(rng.uniform(12, 17)), float(rng.uniform(2.2, 3))
    long = float(rng.uniform(60, 90))
    body = turned([(0, 0), (stem, 0), (stem, long - 16), (1.4 * stem, long - 9),
                   (0.7 * r, long - 3), (r, long - 2), (r, long - 0.4),
                   (0.9 * r, long), (0, long)], 1.2)  # fmt: skip
    return [("valve", body, str(rng.choice(["steel", "scaled", "varnished_steel"])))]


def _fuse(rng: np.random.Generator) -> list[Piece]:
    r, long = float(rng.uniform(2.5, 5)), float(rng.uniform(20, 38))
    glass = turned([(0, 1), (0.92 * r, 1), (0.92 * r, long - 1), (0, long - 1)], 0.1)
    low = turned([(0, 0), (r, 0), (r, 6), (0.9 * r, 6.2), (0, 6.2)], 0.3)
    top = transformed(low, translation(0, 0, long - 6.2))
    body = str(rng.choice(["glass_pale", "ceramic", "plastic_white"]))
    return [("tube", glass, body), ("cap_low", low, "plating"), ("cap_top", top, "plating")]


def _knob(rng: np.random.Generator) -> list[Piece]:
    r, high = float(rng.uniform(9, 18)), float(rng.uniform(16, 30))
    body = turned([(0, 0), (0.6 * r, 0), (0.55 * r, 0.35 * high), (r, 0.6 * high), (0.9 * r, high),
                   (0.25 * r, high), (0.25 * r, high - 3), (0, high - 3)], 2.5)  # fmt: skip
    screw = turned([(0, high - 3), (0.22 * r, high - 3), (0.2 * r, high - 1.5), (0, high - 1)], 0.4)
    glaze = str(rng.choice(["glaze", "ceramic", "plastic_white"]))
    return [("knob", body, glaze), ("screw", screw, str(rng.choice(["brass", "steel"])))]


def _coin(rng: np.random.Generator) -> list[Piece]:
    r, metal = float(rng.uniform(8, 13)), str(rng.choice(["brass", "copper_coin", "plating"]))
    disk = turned([(0, 0), (r, 0), (r, 1.8), (r - 0.9, 1.8), (r - 1.1, 1.55), (0.45 * r, 1.55),
                   (0.4 * r, 1.75), (0, 1.75)], 0.12, 160)  # fmt: skip
    return [("coin", disk, metal)]


def _spring(rng: np.random.Generator) -> list[Piece]:
    wide, wire = float(rng.uniform(8, 20)), float(rng.uniform(1, 2.6))
    turns, pitch = float(rng.uniform(5, 11)), wire * float(rng.uniform(1.5, 2.6))
    mesh = coil_spring(wide, wire, turns, pitch)
    up = translation(0, 0, -float(mesh.vertices[:, 2].min()))
    return [("spring", transformed(mesh, up), str(rng.choice(["steel", "plating", "black_oxide"])))]


def _hose(rng: np.random.Generator) -> list[Piece]:
    r, long = float(rng.uniform(5, 11)), float(rng.uniform(60, 120))
    inner = r * float(rng.uniform(0.5, 0.7))
    path = bend([(0, 0, 0), (0, 0, 0.4 * long), (0.3 * long, 0, long)], 40)
    wall = hose(path, r, inner, 10)
    pieces: list[Piece] = [("hose", wall, str(rng.choice(["rubber", "plastic_black", "grip_red"])))]
    if rng.random() < 0.6:
        clip = turned([(0, 8), (r + 0.7, 8), (r + 0.7, 17), (0, 17)], 0.3)
        pieces.append(("clip", clip, "plating"))
    return pieces


def _glow(rng: np.random.Generator) -> list[Piece]:
    """A heater rod with a thread: the nearest thing to a plug that has no nose and no strap."""
    r = float(rng.choice([4.0, 5.0, 6.0]))
    six = hexagon(2.2 * r)
    corner = 1.1 * r / np.cos(np.pi / 6)
    head = turned([(0, 0), (corner, 0), (corner, 9), (0, 9)], 0.4, 144, six)
    cut = thread(1.25, 20.0, 38.0, 0.75, 0.6)
    body = turned([(0, 8), (r, 8), (r, 38), (0.75 * r, 41), (0, 41)], 0.2, 160, cut, 0.12)
    rod = turned([(0, 40), (0.5 * r, 40), (0.5 * r, 62), (0.3 * r, 63.5), (0, 63.6)], 0.6)
    return [("head", head, "plating"), ("body", body, "steel"), ("rod", rod, "varnished_steel")]


OBJECTS: dict[str, Callable[[np.random.Generator], list[Piece]]] = {
    "bolt": _bolt,
    "bulb base": _bulb_base,
    "pen": _pen,
    "drill bit": _drill,
    "injector": _injector,
    "sensor": _sensor,
    "valve": _valve,
    "fuse": _fuse,
    "ceramic knob": _knob,
    "coin": _coin,
    "coil spring": _spring,
    "hose end": _hose,
    "heater rod": _glow,
    **FASTENERS,
    **WHEELS,
    **ENGINE,
    **PIPES,
    **ELECTRIC,
    **TOOLS,
}


def pieces(name: str, seed: int) -> list[Piece]:
    """Pieces of the part of that name, drawn from the seed.

    Raises KeyError with the known names when there is none.
    """
    if name not in OBJECTS:
        raise KeyError(f"no part called {name!r}; known: {', '.join(OBJECTS)}")
    return OBJECTS[name](np.random.default_rng([seed, 20]))
