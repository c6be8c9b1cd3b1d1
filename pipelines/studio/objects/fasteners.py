"""Nuts, washers, studs, screws with recessed heads, and bits. Measures: our estimate."""

import numpy as np

from pipelines.studio.geometry.hardware import nut, washer
from pipelines.studio.geometry.lathe import hexagon, thread
from pipelines.studio.geometry.mesh import Array, Mesh, transformed
from pipelines.studio.geometry.pose import translation
from pipelines.studio.objects.forms import (
    BRIGHT,
    DARK,
    METALS,
    PLASTICS,
    SOFT,
    YELLOW,
    Maker,
    Piece,
    cross,
    hexagonal,
    lobed,
    pick,
    pressed,
    ring,
    round_ring,
    span,
    within,
)
from pipelines.studio.objects.shapes import turned


def _nut(rng: np.random.Generator) -> list[Piece]:
    size = float(rng.choice([5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0]))
    high, metal = span(rng, 0.55, 1.1) * size, pick(rng, METALS)
    out: list[Piece] = [("nut", nut(size, high), metal)]
    kind = rng.random()
    if kind < 0.3:
        out.append(("collar", ring(0.55 * size, 1.1 * size, 0, 0.2 * size), metal))
    elif kind < 0.55:
        insert = ring(0.44 * size, 0.6 * size, high - 0.2, high + 0.16 * size)
        out.append(("insert", insert, pick(rng, PLASTICS)))
    elif kind < 0.75:
        out.append(("stud", _rod(0.44 * size, 0.0, high * span(rng, 0.4, 1.5)), pick(rng, BRIGHT)))
    return out


def _rod(r: float, low: float, high: float) -> Mesh:
    cut = thread(max(0.8, 0.3 * r), low, high, 0.12 * r, 0.5)
    points = [(0, low), (r, low), (r, high - 0.15 * r), (0.85 * r, high), (0, high)]
    return turned(points, 0.1, 96, cut, max(0.15, 0.05 * r))


def _washer(rng: np.random.Generator) -> list[Piece]:
    inner = span(rng, 4, 22)
    outer, high = inner * span(rng, 1.35, 3.2), span(rng, 0.6, 3.0)
    if rng.random() < 0.5:
        matter = pick(rng, METALS, METALS, SOFT, PLASTICS)
        return [("washer", washer(inner, outer, high), matter)]
    # A seal: a ring of rubber in a ring of metal.
    middle = (0.7 * inner + 0.3 * outer) / 2
    metal = ring(middle, outer / 2, 0, high)
    seal = ring(inner / 2, middle + 0.1, 0.1, high + 0.5, 0.5)
    return [("washer", metal, pick(rng, METALS)), ("seal", seal, pick(rng, SOFT))]


def _ring(rng: np.random.Generator) -> list[Piece]:
    r = span(rng, 4, 24)
    if rng.random() < 0.5:
        thick = r * span(rng, 0.12, 0.4)
        return [("ring", round_ring(r, thick, thick / 2), pick(rng, SOFT, SOFT, METALS))]
    thick, high = r * span(rng, 0.06, 0.3), r * span(rng, 0.1, 0.9)
    return [("ring", ring(r - thick, r, 0, high), pick(rng, METALS, METALS, PLASTICS))]


def _stud(rng: np.random.Generator) -> list[Piece]:
    r = span(rng, 2.5, 8)
    long = r * span(rng, 4, 11)
    lower, upper = (thread(0.32 * r, *z, 0.18 * r, 0.6) for z in ((0, 0.35 * long),
                                                               (0.6 * long, long)))  # fmt: skip
    body = turned(
        [(0, 0), (0.85 * r, 0), (r, 0.2 * r), (r, long - 0.2 * r), (0.85 * r, long), (0, long)],
        0.1, 96, lambda a, z, t: np.where(z < long / 2, lower(a, z, t), upper(a, z, t)),
        max(0.16, 0.06 * r),
    )  # fmt: skip
    out: list[Piece] = [("stud", body, pick(rng, BRIGHT, DARK, YELLOW))]
    for k in range(int(rng.integers(0, 3))):
        up = translation(0, 0, long * (0.28 + 0.36 * k))
        out.append((f"nut{k}", transformed(nut(2 * r, 1.5 * r), up), pick(rng, BRIGHT, YELLOW)))
    return out


def _screw(rng: np.random.Generator) -> list[Piece]:
    """A screw with its head up: six-sided, lobed, cross or straight recess."""
    r, long = span(rng, 1.6, 6), span(rng, 8, 40)
    wide, tall = r * span(rng, 1.5, 2.2), r * span(rng, 0.8, 2.0)
    kind = str(rng.choice(["six", "lobes", "cross", "slot"]))
    top, bore, deep = long + tall, 0.62 * wide, min(0.7 * tall, 1.2 * r)
    shape = {
        "six": hexagonal(1.0 * wide * 0.82),
        "lobes": lobed(6, 0.46 * wide, 0.09 * wide),
        "cross": cross(0.16 * wide, 0.58 * wide),
        "slot": lobed(1, 0.3 * wide, 0.0),
    }[kind]
    edge = wide * span(rng, 0.75, 1.0)
    head = [(0.6 * r, long), (wide, long), (wide, long + 0.4 * tall), (edge, top)]
    if kind == "slot":
        body = turned([(0, long), *head, (0, top)], 0.15, 160, None, 0.1 * r + 0.06)
        half = 0.16 * wide
        body = pressed(body, top, lambda _x, y: deep * np.clip((half - np.abs(y)) / 0.15, 0, 1))
    else:
        points = [(0, long), *head, (bore, top), (bore, top - deep), (0, top - deep)]
        body = turned(points, 0.0, 160, within(shape, bore, top - deep - 0.01), 0.4)
    metal = pick(rng, BRIGHT, DARK, YELLOW)
    return [("head", body, metal), ("shank", _rod(r, 0.0, long + 0.1), metal)]


def _bit(rng: np.random.Generator) -> list[Piece]:
    across, long = 6.35, span(rng, 22, 70)
    six = hexagon(across)
    corner = across / 2 / np.cos(np.pi / 6)
    shank = [(0, 0), (corner - 0.5, 0), (corner, 0.6), (corner, 0.55 * long)]
    tip = span(rng, 1.2, 2.8)
    wing = cross(0.3 * tip, tip) if rng.random() < 0.6 else lobed(6, 0.85 * tip, 0.15 * tip)

    def change(radius: Array, z: Array, angle: Array) -> Array:
        shaped = np.minimum(radius, wing(radius, z, angle) * radius / max(tip, 1e-6))
        fade = np.clip((z - 0.68 * long) / (0.08 * long), 0, 1)
        return np.where(z < 0.56 * long, six(radius, z, angle), radius + fade * (shaped - radius))

    points = [*shank, (tip, 0.62 * long), (tip, long - 1.2 * tip), (0.35 * tip, long), (0, long)]
    body = turned(points, 0.1, 120, change, 0.4)
    return [("bit", body, pick(rng, BRIGHT, DARK))]


FASTENERS: dict[str, Maker] = {
    "nut": _nut,
    "washer": _washer,
    "plain ring": _ring,
    "threaded stud": _stud,
    "recessed screw": _screw,
    "screwdriver bit": _bit,
}
