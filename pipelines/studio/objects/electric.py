"""Connectors with pins, switches, knobs, lamps, relays. Measures: our estimate."""

import numpy as np

from pipelines.studio.geometry.mesh import transformed
from pipelines.studio.geometry.pose import translation
from pipelines.studio.objects.forms import (
    BRIGHT,
    METALS,
    PLASTICS,
    SOFT,
    WHITE,
    YELLOW,
    Maker,
    Piece,
    bored,
    disk,
    pick,
    pressed,
    ring,
    round_about,
    span,
    toothed,
)
from pipelines.studio.objects.shapes import box, turned


def _connector(rng: np.random.Generator) -> list[Piece]:
    """A shell with pins on an insert: round, or a box with pins in rows."""
    pin = disk(span(rng, 0.5, 1.2), 0, span(rng, 5, 9), 0.3, 24)
    metal, insert = pick(rng, YELLOW, BRIGHT), pick(rng, PLASTICS, WHITE)
    if rng.random() < 0.6:
        r, high = span(rng, 6, 16), span(rng, 14, 34)
        wall = r * span(rng, 0.78, 0.9)
        ribs = toothed(int(rng.integers(18, 40)), 0.95 * r, r, 1.5, 0.95 * r)
        shell = turned(bored([(0.9 * r, 0), (0.9 * r, 0.4 * high), (r, 0.42 * high),
                              (r, 0.7 * high), (0.93 * r, 0.72 * high), (0.93 * r, high)], wall,
                             0.4 * high), 0.3, 160, ribs)  # fmt: skip
        floor = disk(0.99 * wall, 0.5 * high, span(rng, 0.66, 0.9) * high)
        at = wall * span(rng, 0.45, 0.7)
        pins = round_about(pin, int(rng.integers(2, 8)), at, 0.62 * high, span(rng, 0, 1))
        out = [("shell", shell, pick(rng, METALS, PLASTICS)), ("insert", floor, insert)]
        return [*out, ("pins", pins, metal)]
    columns, rows = int(rng.integers(2, 6)), int(rng.integers(1, 3))
    pitch, high = span(rng, 3, 5), span(rng, 14, 26)
    wide, deep = (columns + 1) * pitch, (rows + 1) * pitch
    body = box(wide, deep, high, 1.0)
    tops = []
    for k in range(columns * rows):
        x = (k % columns - (columns - 1) / 2) * pitch
        tops.append((f"pin{k}", transformed(pin, translation(x, (k // columns - (rows - 1) / 2)
                     * pitch, high - 2)), metal))  # fmt: skip
    wings = [transformed(box(0.8, deep, 8, 0.3), translation(side * wide / 2, 0, high - 1))
             for side in (-1.0, 1.0)]  # fmt: skip
    sides = [transformed(box(wide, 0.8, 8, 0.3), translation(0, side * deep / 2, high - 1))
             for side in (-1.0, 1.0)]  # fmt: skip
    walls = [(f"wall{k}", mesh, insert) for k, mesh in enumerate((*wings, *sides))]
    return [("body", body, insert), *walls, *tops]


def _switch(rng: np.random.Generator) -> list[Piece]:
    """A push or toggle switch: body, threaded collar with a nut ring, button or lever."""
    r, high = span(rng, 5, 11), span(rng, 14, 24)
    body = disk(1.3 * r, 0, high, 0.8) if rng.random() < 0.5 else box(2.6 * r, 2 * r, high, 1.0)
    collar = ring(0.62 * r, r, high - 0.2, high + 7, 0.3)
    out: list[Piece] = [
        ("body", body, pick(rng, PLASTICS)),
        ("collar", collar, pick(rng, METALS)),
        ("ring", ring(r, 1.35 * r, high + 2, high + 4.5), pick(rng, METALS)),
    ]
    if rng.random() < 0.5:
        return [*out, ("button", disk(0.6 * r, high, high + span(rng, 6, 11), 0.8),
                       pick(rng, PLASTICS, SOFT, BRIGHT))]  # fmt: skip
    lever = turned([(0, high), (0.3 * r, high), (0.22 * r, high + 8), (0.35 * r, high + 18),
                    (0.15 * r, high + 20), (0, high + 20)], 0.6, 48)  # fmt: skip
    return [*out, ("lever", lever, pick(rng, BRIGHT, PLASTICS))]


def _knob(rng: np.random.Generator) -> list[Piece]:
    """A turning knob: ribbed or smooth, with a pointer line, cap or bore for its spindle."""
    r, high = span(rng, 7, 20), span(rng, 8, 22)
    ribs = toothed(int(rng.integers(16, 48)), 0.94 * r, r, span(rng, 1, 4), 0.9 * r)
    smooth = rng.random() < 0.4
    edge = [(r, 0), (0.96 * r, 0.8 * high), (0.86 * r, high)]
    matter = pick(rng, PLASTICS, METALS, WHITE)
    if rng.random() < 0.4:
        bore = r * span(rng, 0.14, 0.3)
        body = turned(bored(edge, bore, 0.7 * high), 0.5, 192, None if smooth else ribs)
        return [("knob", body, matter), ("insert", ring(0.75 * bore, 0.99 * bore, 0.35 * high,
                                                   0.98 * high), pick(rng, YELLOW))]  # fmt: skip
    body = turned([(0, 0), *edge, (0, high)], 0.5, 192, None if smooth else ribs)
    half = 0.06 * r
    if rng.random() < 0.5:
        line = box(2 * half, 0.6 * r, 0.5, 0.2)
        mark = transformed(line, translation(0, 0.5 * r, high - 0.2))
        return [("knob", body, matter), ("mark", mark, pick(rng, ("plastic_white", "grip_red")))]
    cap = disk(0.62 * r, high - 0.3, high + span(rng, 0.2, 1.0), 0.4)
    return [("knob", body, matter), ("cap", cap, pick(rng, PLASTICS, METALS))]


def _lamp(rng: np.random.Generator) -> list[Piece]:
    """A light bulb, cap up or glass up: pale glass, metal cap, insulator and contact."""
    r, cap = span(rng, 4, 26), span(rng, 0.3, 0.55)
    low = 0.9 * r
    glass = turned([(0, 0), (0.5 * r, 0.1 * r), (0.9 * r, 0.5 * r), (r, r), (0.9 * r, 1.5 * r),
                    (0.6 * r, 2.1 * r), (cap * r, 2.5 * r), (0, 2.5 * r)], 0.3 * r)  # fmt: skip
    c, top = 1.04 * cap * r, 2.4 * r + low
    base = ring(0.7 * c, c, 2.3 * r, top, 0.06 * r)
    rim = ring(0.68 * c, 1.5 * c, 2.3 * r, 2.3 * r + 0.1 * r)
    insulator = disk(0.72 * c, top - 0.3 * r, top + 0.05 * r, 0.1)
    contacts = disk(0.26 * c, top, top + 0.16 * r, 0.1, 32)
    if rng.random() < 0.4:
        contacts = round_about(contacts, 2, 0.36 * c, 0.0)
    out: list[Piece] = [("glass", glass, pick(rng, ("glass_pale", "plastic_white", "glass_pale"))),
                        ("cap", base, pick(rng, BRIGHT, YELLOW)),
                        ("insulator", insulator, pick(rng, WHITE, ("plastic_black", "glass_pale"))),
                        ("contact", contacts, pick(rng, BRIGHT))]  # fmt: skip
    return [*out, ("rim", rim, pick(rng, BRIGHT))] if rng.random() < 0.4 else out


def _relay(rng: np.random.Generator) -> list[Piece]:
    """A cube with flat blades on top, of different ways to lie."""
    side, high = span(rng, 20, 30), span(rng, 20, 34)
    body = box(side, side * span(rng, 0.55, 1.0), high, 2.0)
    foot = transformed(box(0.94 * side, 0.5 * side, 2, 1.0), translation(0, 0, high - 0.5))
    out: list[Piece] = [("body", body, pick(rng, PLASTICS)), ("foot", foot, pick(rng, PLASTICS))]
    for k, (x, y) in enumerate([(0, 0.18), (-0.3, 0), (0.3, 0), (0, -0.18)]):
        turn = (6.3, 0.8) if k in (0, 3) else (0.8, 6.3)
        blade = transformed(box(*turn, 11, 0.2), translation(x * side, y * side, high))
        out.append((f"blade{k}", blade, pick(rng, YELLOW, BRIGHT)))
    return out


def _cap(rng: np.random.Generator) -> list[Piece]:
    """A bottle cap or screw cap, open side up or down."""
    r, high = span(rng, 11, 20), span(rng, 5, 14)
    number = int(rng.integers(20, 60))
    ribs = toothed(number, 0.93 * r, r, span(rng, 1, 3), 0.92 * r)
    matter = pick(rng, PLASTICS, BRIGHT, PLASTICS)
    if rng.random() < 0.6:
        mesh = turned(bored([(0.92 * r, 0), (r, 1.0), (r, high)], 0.85 * r, 0.85 * high), 0.3,
                      240, ribs)  # fmt: skip
        inlay = disk(0.8 * r, 0.1 * high, 0.2 * high)
        return [("cap", mesh, matter), ("inlay", inlay, pick(rng, SOFT, WHITE))]
    mesh = turned([(0, 0), (r, 0), (r, high - 1), (0.9 * r, high), (0, high)], 0.4, 240, ribs)
    fine = int(rng.integers(2, 5))
    sunk = pressed(mesh, high, lambda x, y: 0.25 * (np.sin(fine * np.hypot(x, y)) > 0.6))
    return [("cap", sunk, matter)]


ELECTRIC: dict[str, Maker] = {
    "connector": _connector,
    "switch": _switch,
    "turning knob": _knob,
    "light bulb": _lamp,
    "relay": _relay,
    "bottle cap": _cap,
}
