"""Parts of engines: pistons, valve seats and springs, filters, thermostats, bushes.

Measures: our estimate.
"""

import numpy as np

from pipelines.studio.geometry.hardware import coil_spring
from pipelines.studio.geometry.lathe import hexagon, thread
from pipelines.studio.geometry.mesh import Array, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.geometry.sweep import rounded_rectangle, sweep
from pipelines.studio.objects.forms import (
    BRIGHT,
    DARK,
    METALS,
    PAINTED,
    SOFT,
    YELLOW,
    Maker,
    Piece,
    dimples,
    disk,
    pick,
    pressed,
    ring,
    span,
    toothed,
)
from pipelines.studio.objects.shapes import box, turned


def _piston(rng: np.random.Generator) -> list[Piece]:
    """Crown up, rings in their grooves, and the bore of the pin, which may stand in it."""
    r, high = span(rng, 18, 42), span(rng, 30, 60)
    dish = span(rng, -0.06, 0.08) * r
    body = turned(
        [(0, 0.3 * high), (0.86 * r, 0.3 * high), (0.86 * r, 0), (0.97 * r, 0), (r, 0.5 * high),
         (r, high), (0.6 * r, high), (0.5 * r, high - dish), (0, high - dish)],
        0.5, 128, None, 1.0,
    )  # fmt: skip
    metal = pick(rng, ("aluminium", "aluminium", "steel", "scaled"))
    out: list[Piece] = [("piston", body, metal)]
    for k in range(int(rng.integers(2, 4))):
        low = high - 0.12 * r - (k + 1) * 0.13 * r
        mesh = ring(0.9 * r, 1.012 * r, low, low + 0.06 * r, 0.1, 128)
        out.append((f"ring{k}", mesh, pick(rng, ("black_oxide", "steel", "plating"))))
    pin = r * span(rng, 0.2, 0.28)
    across = translation(0, 0, max(0.42 * high, 1.55 * pin)) @ rotation("x", 90.0)
    boss = ring(pin, 1.5 * pin, -1.01 * r, 1.01 * r, 0.3, 64)
    out.append(("boss", transformed(boss, across), metal))
    if rng.random() < 0.6:
        long = span(rng, 0.9, 1.0) * r
        wrist = ring(0.6 * pin, 0.98 * pin, -long, long, 0.3, 64)
        out.append(("pin", transformed(wrist, across), pick(rng, BRIGHT)))
    return out


def _valve_seat(rng: np.random.Generator) -> list[Piece]:
    r, high = span(rng, 11, 22), span(rng, 4, 9)
    inner, seat = r * span(rng, 0.68, 0.8), r * span(rng, 0.84, 0.93)
    loop = [(inner, high / 2), (inner, 0), (r, 0), (r, high), (seat, high),
            (inner, high - (seat - inner)), (inner, high / 2)]  # fmt: skip
    out: list[Piece] = [("seat", turned(loop, 0.15, 128), pick(rng, BRIGHT, DARK, YELLOW))]
    if rng.random() < 0.4:
        # In a piece of the head, its guide in the middle.
        metal = pick(rng, ("aluminium", "steel", "scaled"))
        port = turned([(0, -high), (1.5 * r, -high), (1.5 * r, 0.8 * high), (0.97 * r, 0.8 * high),
                       (0.97 * r, 0), (0.85 * inner, -0.6 * high), (0, -0.6 * high)])  # fmt: skip
        out.append(("port", port, metal))
        guide = ring(0.14 * r, 0.3 * r, -0.7 * high, span(rng, 0.0, 0.7) * high, 0.3, 48)
        out.append(("guide", guide, pick(rng, YELLOW, BRIGHT)))
        up = translation(0, 0, high)
        out = [(n, transformed(mesh, up), m) for n, mesh, m in out]
    return out


def _valve_spring(rng: np.random.Generator) -> list[Piece]:
    """A spring with its plate and wedge round a stem, or two springs in each other."""
    wide, wire = span(rng, 18, 32), span(rng, 2.4, 4.5)
    mesh = coil_spring(wide, wire, span(rng, 4.5, 8), wire * span(rng, 1.5, 2.4))
    mesh = transformed(mesh, translation(0, 0, -float(mesh.vertices[:, 2].min())))
    high = float(mesh.vertices[:, 2].max())
    out: list[Piece] = [("spring", mesh, pick(rng, BRIGHT, DARK, PAINTED))]
    if rng.random() < 0.4:
        inner = coil_spring(wide - 3 * wire, 0.7 * wire, 6, 1.8 * wire)
        low = -float(inner.vertices[:, 2].min())
        return [*out, ("inner", transformed(inner, translation(0, 0, low)), pick(rng, DARK))]
    bore = 0.2 * wide
    loop = [(bore, high + 1), (0.9 * bore, high - 2), (0.36 * wide, high - 2),
            (0.4 * wide, high), (0.58 * wide, high + 0.2), (0.56 * wide, high + 2.4),
            (0.3 * wide, high + 2.8), (1.1 * bore, high + 3.4), (bore, high + 1)]  # fmt: skip
    out.append(("plate", turned(loop, 0.3), pick(rng, BRIGHT, DARK)))
    out.append(("wedge", ring(0.5 * bore, bore, high - 2, high + 3.2), pick(rng, BRIGHT, YELLOW)))
    stem = disk(0.49 * bore, 0.0, high + span(rng, 3, 7), 0.4, 48)
    return [*out, ("stem", stem, pick(rng, BRIGHT))]


def _oil_filter(rng: np.random.Generator) -> list[Piece]:
    """A can with its open end up: plate with holes, threaded neck, rubber seal."""
    r, high = span(rng, 25, 42), span(rng, 45, 95)
    neck = r * span(rng, 0.22, 0.32)
    flutes = toothed(int(rng.integers(10, 18)), 0.965 * r, r, 1.0, 0.96 * r)
    can = turned([(0, 0), (0.85 * r, 0), (r, 0.15 * r), (r, high), (0.9 * r, high),
                  (0.88 * r, high - 2), (0, high - 2)], 1.2, 128,
                 lambda a, z, t: np.where(z < 0.3 * high, flutes(a, z, t), a), 1.4)  # fmt: skip
    top = high - 1.2
    plate = turned([(0, high - 4), (0.87 * r, high - 4), (0.87 * r, top), (neck, top),
                    (neck, high - 8), (0, high - 8)], 0.3, 160,
                   thread(1.5, high - 8, top, 0.5, 0.5), 0.8)  # fmt: skip
    # The neck's bore reaches below the plate's rim: a tube closes it off.
    holes = dimples(int(rng.integers(5, 9)), (neck + 0.62 * r) / 2, 0.09 * r, 1.6)
    seal = ring(0.66 * r, 0.84 * r, high - 3, high + 1.6, 1.0, 96)
    return [("can", can, pick(rng, PAINTED, ("plastic_white", "plastic_black"), BRIGHT)),
            ("plate", pressed(plate, top, holes), pick(rng, BRIGHT, ("black_plating",))),
            ("seal", seal, pick(rng, SOFT))]  # fmt: skip


def _air_filter(rng: np.random.Generator) -> list[Piece]:
    r, high = span(rng, 28, 60), span(rng, 25, 70)
    inner, folds = r * span(rng, 0.45, 0.7), int(rng.integers(40, 80))

    def pleats(radius: Array, _z: Array, angle: Array) -> Array:
        wave = 0.5 + 0.5 * np.cos(folds * angle)
        outer = radius > 0.9 * r
        return np.where(outer, radius - 0.09 * r * wave, radius + 0.04 * r * wave * (radius < r))

    paper = ring(inner, 0.98 * r, 2, high - 2, 0.2, min(480, 6 * folds), pleats, 4.0)
    lip = span(rng, 3, 7)
    ends = [ring(0.94 * inner, r, low, low + lip, 1.2, 96) for low in (0.0, high - lip)]
    soft = pick(rng, SOFT, ("plastic_black",), PAINTED)
    return [("paper", paper, pick(rng, ("paper", "kraft_dark", "cardboard", "cloth_pale"))),
            ("low", ends[0], soft), ("top", ends[1], soft)]  # fmt: skip


def _thermostat(rng: np.random.Generator) -> list[Piece]:
    """A flange with a valve plate in its hole, a bridge over it and a wax capsule."""
    r = span(rng, 20, 30)
    hole, high = 0.66 * r, span(rng, 9, 16)
    flange = ring(hole, r, 20, 21.6, 0.4)
    plate = turned([(0, 18), (1.05 * hole, 18), (0.98 * hole, 20.4), (0.3 * hole, 21.2), (0, 21.2)])
    pellet = disk(0.24 * r, 0, 18.2, 0.8)
    pin = disk(0.07 * r, 20, 21 + high, 0.3, 32)
    bar = np.stack([np.linspace(-0.75 * r, 0.75 * r, 40), np.zeros(40), np.zeros(40)], 1)
    bar[:, 2] = 21.2 + high * np.clip(1.25 * np.cos(np.pi * bar[:, 0] / (1.56 * r)), 0, 1)
    from_side = np.broadcast_to([0.0, 1.0, 0.0], bar.shape)
    bridge = sweep(bar, np.array(from_side), rounded_rectangle(0.3 * r, 1.4, 0.4))
    coil = coil_spring(0.85 * r, 1.5, 3.5, 4.0)
    coil = transformed(coil, translation(0, 0, 2.0 - float(coil.vertices[:, 2].min())))
    metal, other = pick(rng, YELLOW, BRIGHT), pick(rng, YELLOW, BRIGHT)
    return [
        ("flange", flange, metal),
        ("plate", plate, other),
        ("pellet", pellet, pick(rng, YELLOW)),
        ("pin", pin, "steel"),
        ("bridge", bridge, metal),
        ("coil", coil, "steel"),
    ]


def _bush(rng: np.random.Generator) -> list[Piece]:
    """A sleeve of steel in rubber, in a second sleeve or bare: ring in ring in ring."""
    outer, high = span(rng, 8, 26), span(rng, 10, 42)
    bore = outer * span(rng, 0.2, 0.4)
    sleeve = bore * span(rng, 1.25, 1.7)
    out: list[Piece] = [
        ("sleeve", ring(bore, sleeve, 0, high), pick(rng, BRIGHT, DARK)),
        ("rubber", ring(0.99 * sleeve, outer, 0.06 * high, 0.94 * high, 0.8), pick(rng, SOFT)),
    ]
    if rng.random() < 0.5:
        shell = ring(0.99 * outer, 1.1 * outer, 0.03 * high, 0.97 * high)
        out.append(("shell", shell, pick(rng, METALS)))
    if rng.random() < 0.3:
        six = hexagon(2.6 * bore)
        head = disk(3 * bore / 2, high, high + bore, 0.3, 96)
        corner = turned([(0, high), (3 * bore / 2, high), (3 * bore / 2, high + bore),
                         (0, high + bore)], 0.3, 96, six)  # fmt: skip
        out.append(("bolt", corner if rng.random() < 0.7 else head, pick(rng, BRIGHT, DARK)))
    return out


def _pad(rng: np.random.Generator) -> list[Piece]:
    """A brake pad: lining on a plate."""
    wide, deep = span(rng, 45, 90), span(rng, 28, 50)
    plate = box(wide, deep, span(rng, 3, 5), 7.0)
    lining = box(0.86 * wide, 0.84 * deep, span(rng, 6, 11), 4.0)
    up = translation(0, 0, 2.9)
    stuff = pick(rng, ("soot", "kraft_dark", "gravel_dark", "scaled"))
    return [("plate", plate, pick(rng, DARK, PAINTED)), ("lining", transformed(lining, up), stuff)]


ENGINE: dict[str, Maker] = {
    "piston": _piston,
    "valve seat": _valve_seat,
    "valve spring": _valve_spring,
    "oil filter": _oil_filter,
    "air filter": _air_filter,
    "thermostat": _thermostat,
    "rubber bush": _bush,
    "brake pad": _pad,
}
