"""Pipes, tubes, fittings, clamps, jets, nozzles and floats. Measures: our estimate."""

import numpy as np

from pipelines.studio.geometry.hardware import nut
from pipelines.studio.geometry.lathe import hexagon, thread
from pipelines.studio.geometry.mesh import transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.objects.forms import (
    BRIGHT,
    DARK,
    METALS,
    PAINTED,
    PLASTICS,
    SOFT,
    WHITE,
    YELLOW,
    Maker,
    Piece,
    bored,
    disk,
    pick,
    ring,
    round_about,
    round_ring,
    span,
)
from pipelines.studio.objects.shapes import bend, box, hose, turned


def _tube(rng: np.random.Generator) -> list[Piece]:
    """A length of tube, alone or with others in it, or a bundle of them."""
    r, long = span(rng, 2.5, 20), span(rng, 12, 90)
    inner = r * span(rng, 0.5, 0.93)
    matter = pick(rng, METALS, METALS, PLASTICS, SOFT, WHITE)
    mesh = ring(inner, r, 0, long, 0.2, 64, None, 2.0)
    kind = rng.random()
    if kind < 0.25 and r < 9:
        number = int(rng.integers(3, 7))
        spread = 1.03 * r / np.sin(np.pi / number)
        return [("tubes", round_about(mesh, number, float(spread), 0.0), matter)]
    out: list[Piece] = [("tube", mesh, matter)]
    if kind < 0.6:
        within = inner * span(rng, 0.3, 0.9)
        top = long * span(rng, 0.6, 1.15)
        if rng.random() < 0.5:
            second = ring(0.7 * within, within, 0.0, top, 0.2, 64, None, 2.0)
        else:
            second = disk(within, 0.0, top, 0.3)
        out.append(("inner", second, pick(rng, METALS, PLASTICS, WHITE)))
    return out


def _elbow(rng: np.random.Generator) -> list[Piece]:
    """A bend of pipe, its collars ending on rings."""
    r = span(rng, 5, 16)
    long, turn = r * span(rng, 2.2, 4.5), span(rng, 0.3, 1.0)
    path = bend([(0, 0, 0), (0, 0, 0.6 * long), (0, 0, long), (turn * long, 0, long + 0.2 * r),
                 (1.6 * turn * long, 0, long + 0.2 * r)], 48)  # fmt: skip
    matter = pick(rng, METALS, METALS, PLASTICS, SOFT)
    wall = hose(path, r, r * span(rng, 0.62, 0.86), 14)
    foot = ring(0.7 * r, r * span(rng, 1.1, 1.3), 0, 0.8 * r)
    along = path[-1] - path[-2]
    lean = float(np.degrees(np.arctan2(along[0], along[2])))
    place = translation(*(float(v) for v in path[-1])) @ rotation("y", lean)
    mouth = transformed(ring(0.98 * r, 1.2 * r, -0.9 * r, 0.0), place)
    out = [("pipe", wall, matter), ("foot", foot, matter), ("mouth", mouth, pick(rng, (matter,),
                                                                            METALS))]  # fmt: skip
    low = min(float(m.vertices[:, 2].min()) for _, m, _ in out)
    return [(n, transformed(m, translation(0, 0, -low)), kind) for n, m, kind in out]


def _fitting(rng: np.random.Generator) -> list[Piece]:
    """A pipe fitting: hexagon with a threaded, bored stub, its lower end barbed or threaded."""
    r = span(rng, 4, 13)
    bore, wide = r * span(rng, 0.4, 0.75), r * span(rng, 2.4, 2.9)
    low, six = r * span(rng, 1.2, 2.6), r * span(rng, 0.8, 1.3)
    top = low + six + r * span(rng, 1.0, 2.2)
    corner = wide / 2 / np.cos(np.pi / 6)
    head = turned([(0, low), (corner - 0.4, low), (corner, low + 0.4), (corner, low + six - 0.4),
                   (corner - 0.4, low + six), (0, low + six)], 0.2, 120, hexagon(wide))  # fmt: skip
    cut = thread(max(1.0, 0.16 * r), low + six, top, 0.1 * r, 0.6)
    stub = turned(bored([(r, low + six - 0.2), (r, top - 0.4), (0.93 * r, top)], bore,
                        top - low - six), 0.1, 120, cut, 0.25)  # fmt: skip
    barbs = [(0.8 * r + 0.14 * r * (k % 2), low * k / 5) for k in range(6)]
    foot = turned(bored_down(barbs, 0.55 * r, low), 0.1)
    metal = pick(rng, YELLOW, BRIGHT, PLASTICS, DARK)
    return [("head", head, metal), ("stub", stub, metal), ("foot", foot, metal)]


def bored_down(
    outline: list[tuple[float, float]], bore: float, depth: float
) -> list[tuple[float, float]]:
    """Points for `turned`: an outline with a bore in its bottom, nearly through."""
    z = outline[0][1] + 0.9 * depth
    return [(0.0, z), (bore, z), (bore, outline[0][1]), *outline, (0.0, outline[-1][1])]


def _clamp(rng: np.random.Generator) -> list[Piece]:
    """A hose clamp: a band with its screw housing, or a wire ring with ears."""
    r = span(rng, 7, 28)
    metal = pick(rng, BRIGHT, BRIGHT, DARK)
    if rng.random() < 0.3:
        wire = span(rng, 1.4, 2.6)
        loops = [round_ring(r, wire, wire * (0.5 + 1.5 * k)) for k in range(2)]
        ear = transformed(box(2 * wire, 8, 2.5 * wire, 0.6), translation(r + wire, 0, 0))
        return [("loop0", loops[0], metal), ("loop1", loops[1], metal), ("ear", ear, metal)]
    wide = span(rng, 6, 13)
    band = ring(r, r + 0.9, 0, wide, 0.2, 128)
    house = transformed(box(0.8 * wide, 1.1 * wide, 1.1 * wide, 1.0),
                        translation(r + 0.4 * wide, 0, 0))  # fmt: skip
    screw = disk(0.32 * wide, -1.1 * wide, 0.9 * wide, 0.2, 48)
    across = translation(r + 0.42 * wide, 0, 0.55 * wide) @ rotation("x", 90.0)
    out = [("band", band, metal), ("house", house, metal),
           ("screw", transformed(screw, across), pick(rng, BRIGHT))]  # fmt: skip
    if rng.random() < 0.4:
        pipe = ring(0.78 * r, 0.99 * r, 0, wide * span(rng, 1.3, 3), 0.5)
        out.append(("hose", pipe, pick(rng, ("plastic_black", "grip_red", "plastic_blue"))))
    return out


def _jet(rng: np.random.Generator) -> list[Piece]:
    """A carburettor jet: a small threaded head with a slot or hexagon, bored through its end."""
    r, long = span(rng, 2, 4.5), span(rng, 6, 26)
    bore = r * span(rng, 0.12, 0.45)
    top = long + 1.2 * r
    cut = thread(0.8, 0.55 * long, long, 0.35, 0.4)
    stem = turned([(0, 0), (0.6 * r, 0), (0.62 * r, 0.5 * long), (0.85 * r, 0.55 * long),
                   (0.85 * r, long + 0.1), (0, long + 0.1)], 0.15, 96, cut, 0.15)  # fmt: skip
    six = hexagon(1.8 * r) if rng.random() < 0.5 else None
    cone = bore + span(rng, 0.15, 0.4) * r
    head = turned([(0, long), (r, long), (r, top), (cone, top), (bore, top - 0.3 * r),
                   (bore, long + 0.2), (0, long + 0.2)], 0.1, 96, six, 0.2)  # fmt: skip
    metal = pick(rng, YELLOW, YELLOW, BRIGHT)
    return [("stem", stem, metal), ("head", head, metal)]


def _nozzle(rng: np.random.Generator) -> list[Piece]:
    """A nozzle: cone or dome with a bore, on a collar or a union nut; some with a white inset."""
    r, high = span(rng, 4, 15), span(rng, 10, 34)
    mouth = r * span(rng, 0.25, 0.8)
    bore, deep = mouth * span(rng, 0.3, 0.85), 0.5 * high
    body = turned(bored([(r, 0), (r, 0.35 * high), (0.95 * r, 0.45 * high), (mouth, high)], bore,
                        deep), 0.5)  # fmt: skip
    out: list[Piece] = [("body", body, pick(rng, METALS, YELLOW, PLASTICS))]
    if rng.random() < 0.6:
        out.append(("collar", transformed(nut(2 * r, 0.8 * r), translation(0, 0, 0.02 * high)),
                    pick(rng, METALS)))  # fmt: skip
    if rng.random() < 0.35:
        inset = ring(0.5 * bore, 0.99 * bore, high - deep, high + span(rng, -1.5, 1.0), 0.3, 48)
        out.append(("inset", inset, pick(rng, WHITE, PLASTICS, METALS)))
    return out


def _float(rng: np.random.Generator) -> list[Piece]:
    """A carburettor float: two drums, a bridge between them, a hinge pin and a needle."""
    r, high = span(rng, 8, 14), span(rng, 14, 24)
    apart = r * span(rng, 1.15, 1.5)
    drum = disk(r, 0, high, 1.6)
    matter, metal = pick(rng, YELLOW, PLASTICS), pick(rng, YELLOW, BRIGHT)
    out: list[Piece] = [(f"drum{k}", transformed(drum, translation(side * apart, 0, 0)), matter)
                        for k, side in enumerate((-1.0, 1.0))]  # fmt: skip
    bar = transformed(box(2 * apart, 4, 1.4, 0.5), translation(0, 0, high - 0.2))
    hinge = ring(0.9, 1.8, -9, 9, 0.2, 32)
    across = translation(0, r, high + 1.6) @ rotation("y", 90.0)
    needle = transformed(disk(1.6, 0, 8, 0.5, 32), translation(0, 0.3 * r, high + 1))
    return [*out, ("bar", bar, metal), ("hinge", transformed(hinge, across), metal),
            ("needle", needle, pick(rng, YELLOW, BRIGHT))]  # fmt: skip


def _stepped(rng: np.random.Generator) -> list[Piece]:
    """A rod in steps, with a collar and a slim, bored or rounded end: pins, pushrods, spindles."""
    r, long = span(rng, 2.5, 9), span(rng, 25, 90)
    tip = r * span(rng, 0.35, 0.8)
    points = [(r, 0), (r, 0.4 * long), (1.5 * r, 0.42 * long), (1.5 * r, 0.48 * long),
              (0.8 * r, 0.5 * long), (0.8 * r, 0.7 * long), (tip, 0.74 * long)]  # fmt: skip
    if rng.random() < 0.5:
        body = turned(bored([*points, (tip, long)], 0.55 * tip, 0.1 * long), 0.4)
    else:
        body = turned([(0, 0), *points, (tip, long - tip), (0.5 * tip, long), (0, long)], 0.5)
    out: list[Piece] = [("rod", body, pick(rng, BRIGHT, DARK, YELLOW))]
    if rng.random() < 0.5:
        sleeve = ring(0.78 * r, span(rng, 1.0, 1.6) * r, 0.52 * long, 0.66 * long)
        out.append(("sleeve", sleeve, pick(rng, PLASTICS, SOFT, WHITE, PAINTED)))
    return out


PIPES: dict[str, Maker] = {
    "tube": _tube,
    "pipe elbow": _elbow,
    "pipe fitting": _fitting,
    "hose clamp": _clamp,
    "carburettor jet": _jet,
    "nozzle": _nozzle,
    "carburettor float": _float,
    "stepped rod": _stepped,
}
