"""What turns: bearings, gears, pulleys, brake discs, caster wheels, chain links.

Measures: our estimate.
"""

import numpy as np

from pipelines.studio.geometry.lathe import RadiusChange
from pipelines.studio.geometry.mesh import Array, Mesh, transformed
from pipelines.studio.geometry.pose import translation
from pipelines.studio.objects.forms import (
    BRIGHT,
    DARK,
    METALS,
    PAINTED,
    PLASTICS,
    SOFT,
    YELLOW,
    Maker,
    Piece,
    balls,
    dimples,
    disk,
    pick,
    pressed,
    ring,
    round_ring,
    span,
    toothed,
)
from pipelines.studio.objects.shapes import turned


def _bearing(rng: np.random.Generator) -> list[Piece]:
    """Ring in ring with balls; some shielded by a plate or a rubber seal."""
    outer = span(rng, 8, 32)
    inner, wide = outer * span(rng, 0.32, 0.6), outer * span(rng, 0.3, 0.65)
    room = outer - inner
    a, b = inner + 0.28 * room, outer - 0.26 * room
    metal = pick(rng, BRIGHT, ("scaled", "rust", "varnished_steel"))
    out: list[Piece] = [
        ("outer", ring(b, outer, 0, wide, 0.06 * room), metal),
        ("inner", ring(inner, a, 0, wide, 0.06 * room), metal),
    ]
    if rng.random() < 0.45:
        shield = ring(a + 0.02 * room, b - 0.02 * room, 0.08 * wide, 0.93 * wide)
        return [*out, ("shield", shield, pick(rng, BRIGHT, SOFT, SOFT, YELLOW))]
    size = min(0.3 * room, 0.46 * wide)
    middle = (a + b) / 2
    number = max(6, int(np.pi * middle / (1.25 * size)))
    out.append(("balls", balls(number, middle, size, wide / 2, span(rng, 0, 1)), "tool_chrome"))
    cage = ring(middle - 0.09 * room, middle + 0.09 * room, 0.42 * wide, 0.68 * wide)
    return [*out, ("cage", cage, pick(rng, YELLOW, BRIGHT, PLASTICS))]


def _gear(rng: np.random.Generator) -> list[Piece]:
    r, number = span(rng, 9, 38), int(rng.integers(11, 40))
    wide, bore = r * span(rng, 0.15, 0.6), r * span(rng, 0.16, 0.4)
    deep = min(2.2 * r / number, 0.2 * r)
    teeth = toothed(number, r - deep, r, span(rng, 1.2, 3.5), 0.9 * (r - deep))
    web, hub = span(rng, 0.5, 1.0) * wide, bore + 0.18 * r
    loop = [(bore, wide / 2), (bore, 0), (r, 0), (r, wide), (0.8 * (r - deep), wide),
            (0.78 * (r - deep), web), (hub, web), (0.98 * hub, wide), (bore, wide),
            (bore, wide / 2)]  # fmt: skip
    mesh = turned(loop, 0.2, min(360, 12 * number), teeth, 1.2)
    return [("gear", mesh, pick(rng, BRIGHT, DARK, YELLOW, PLASTICS))]


def _pulley(rng: np.random.Generator) -> list[Piece]:
    r, wide = span(rng, 18, 50), span(rng, 10, 26)
    bore, ribs = r * span(rng, 0.12, 0.3), int(rng.integers(1, 6))
    deep, rib = min(0.5 * wide / ribs, 0.2 * r), wide / ribs
    groove: list[tuple[float, float]] = []
    for k in range(ribs):
        low = k * rib
        groove += [(r, low), (r, low + 0.12 * rib), (r - deep, low + 0.45 * rib),
                   (r - deep, low + 0.55 * rib), (r, low + 0.88 * rib)]  # fmt: skip
    groove.append((r, wide))
    sunk = wide * span(rng, 0.4, 0.95)
    rim = 0.85 * (r - deep)
    loop = [(bore, wide / 2), (bore, 0), *groove, (rim, wide), (0.97 * rim, sunk),
            (bore + 0.2 * r, sunk), (bore + 0.18 * r, wide), (bore, wide),
            (bore, wide / 2)]  # fmt: skip
    out: list[Piece] = [("pulley", turned(loop, 0.3, 128, None, 1.0), pick(rng, METALS, PAINTED,
                                                                    PLASTICS))]  # fmt: skip
    if rng.random() < 0.5:
        out.append(("axle", disk(0.97 * bore, 0, wide * span(rng, 0.7, 1.1)), pick(rng, BRIGHT)))
    return out


def _brake_disc(rng: np.random.Generator) -> list[Piece]:
    r, thick = span(rng, 55, 105), span(rng, 4, 11)
    bore, hub = r * span(rng, 0.18, 0.32), r * span(rng, 0.4, 0.55)
    mesh = ring(bore, r, 0, thick, 0.4, 240, None, 1.4)
    if rng.random() < 0.7:
        for k in range(int(rng.integers(1, 4))):
            at, start = r * (0.64 + 0.12 * k), 0.13 * k
            holes = dimples(int(rng.integers(10, 22)), at, span(rng, 2.2, 3.8), 0.6 * thick, start)
            mesh = pressed(mesh, thick, holes)
    metal = pick(rng, BRIGHT, ("steel", "scaled", "rust"))
    out: list[Piece] = [("disc", mesh, metal)]
    high = thick + r * span(rng, 0.05, 0.28)
    hat = ring(bore * 0.98, hub, 0.1, high, 1.5, 160, None, 1.4)
    bolts = dimples(int(rng.integers(3, 6)), (bore + hub) / 2, span(rng, 3.0, 5.5), 0.7 * high)
    return [*out, ("hat", pressed(hat, high, bolts), pick(rng, (metal,), DARK, PAINTED))]


def _caster(rng: np.random.Generator) -> list[Piece]:
    r, wide = span(rng, 14, 38), span(rng, 10, 26)
    hub, bore = r * span(rng, 0.4, 0.65), r * span(rng, 0.14, 0.25)
    tyre = ring(hub, r, 0, wide, 0.28 * wide, 96)
    core = ring(bore, hub + 0.1, 0.08 * wide, 0.92 * wide, 0.5)
    out = [("tyre", tyre, pick(rng, SOFT, PLASTICS)), ("core", core, pick(rng, PLASTICS, METALS))]
    return [*out, ("axle", disk(bore * 0.98, 0.0, 1.05 * wide), pick(rng, BRIGHT, YELLOW))]


def _chain_link(rng: np.random.Generator) -> list[Piece]:
    """Plates with rollers between them, a few links long, or the oval ring of a round chain."""
    if rng.random() < 0.4:
        wire, long = span(rng, 3, 7), span(rng, 8, 16)
        mesh = round_ring(1.8 * wire, wire, wire / 2)
        # Drawn apart at its middle into an oval.
        drawn = mesh.vertices.copy()
        drawn[:, 0] += long * np.tanh(2.2 * drawn[:, 0] / wire)
        mesh = Mesh(drawn, mesh.faces, mesh.uv, mesh.grid)
        return [("link", mesh, pick(rng, BRIGHT, DARK, PAINTED))]
    pitch = span(rng, 9, 20)
    metal, out = pick(rng, BRIGHT, DARK), []
    many = int(rng.integers(2, 5))
    roller, plate = 0.32 * pitch, 0.4 * pitch
    for k in range(many):
        place = translation((k - (many - 1) / 2) * pitch, 0, 0)
        rolled = ring(0.2 * pitch, roller, 0.12 * pitch, 0.55 * pitch, 0.2, 48)
        pin = disk(0.19 * pitch, 0.0, 0.75 * pitch, 0.3, 32)
        out.append((f"roller{k}", transformed(rolled, place), pick(rng, BRIGHT)))
        out.append((f"pin{k}", transformed(pin, place), pick(rng, BRIGHT)))
    for k in range(many - 1):
        for side, low in enumerate((0.02, 0.57)):
            high = low + 0.08 + 0.03 * (k % 2)
            flat = turned([(0, low * pitch), (plate, low * pitch), (plate, high * pitch),
                           (0, high * pitch)], 0.2, 96, _plate(pitch, plate), 1.0)  # fmt: skip
            place = translation((k - (many - 2) / 2) * pitch, 0, 0.02 * pitch * (k % 2))
            out.append((f"plate{k}{side}", transformed(flat, place), metal))
    return out


def _plate(pitch: float, plate: float) -> RadiusChange:
    def change(radius: Array, _z: Array, angle: Array) -> Array:
        long = pitch / 2 + plate
        shape = 1 / np.sqrt((np.cos(angle) / long) ** 2 + (np.sin(angle) / (0.85 * plate)) ** 2)
        return np.asarray(radius * shape / plate)

    return change


WHEELS: dict[str, Maker] = {
    "ball bearing": _bearing,
    "gear": _gear,
    "pulley": _pulley,
    "brake disc": _brake_disc,
    "caster wheel": _caster,
    "chain link": _chain_link,
}
