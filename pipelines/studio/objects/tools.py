"""Sockets, drill chucks, taps, and tins that stand about. Measures: our estimate."""

import numpy as np

from pipelines.studio.geometry.lathe import thread
from pipelines.studio.geometry.mesh import Array, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.objects.forms import (
    BRIGHT,
    DARK,
    PAINTED,
    PLASTICS,
    SOFT,
    YELLOW,
    Maker,
    Piece,
    bored,
    disk,
    hexagonal,
    lobed,
    pick,
    ring,
    span,
    toothed,
    within,
)
from pipelines.studio.objects.shapes import box, turned


def _socket(rng: np.random.Generator) -> list[Piece]:
    """A socket with its mouth up, six or twelve corners; some hold a nut or bolt head."""
    across, long = span(rng, 6, 26), span(rng, 18, 60)
    bore = 0.62 * across
    shape = hexagonal(across) if rng.random() < 0.6 else lobed(12, 0.545 * across, 0.035 * across)
    r = bore + span(rng, 1.0, 3.0)
    deep = min(0.6 * long, across * span(rng, 0.6, 1.4))
    points = bored([(0.9 * r, 0), (0.9 * r, 0.4 * long), (r, 0.5 * long), (r, long)], bore, deep)
    body = turned(points, 0.0, 144, within(shape, bore, long - deep - 0.01), 1.0)
    out: list[Piece] = [("socket", body, pick(rng, BRIGHT, DARK))]
    if rng.random() < 0.35:
        filled = disk(0.48 * across, long - 0.9 * deep, long - 0.3 * deep, 0.4)
        out.append(("inside", filled, pick(rng, BRIGHT, DARK, YELLOW)))
    return out


def _chuck(rng: np.random.Generator) -> list[Piece]:
    """A drill chuck: knurled sleeve, cone, three jaws in its mouth."""
    r, high = span(rng, 14, 22), span(rng, 30, 48)
    knurl = toothed(int(rng.integers(24, 48)), 0.96 * r, r, 2.0, 0.95 * r)
    mouth = r * span(rng, 0.35, 0.5)
    body = turned(bored([(0.8 * r, 0), (0.8 * r, 0.2 * high), (r, 0.22 * high), (r, 0.65 * high),
                         (0.85 * r, 0.7 * high), (1.25 * mouth, high)], mouth, 0.4 * high), 0.4,
                  192, knurl)  # fmt: skip
    out: list[Piece] = [("body", body, pick(rng, BRIGHT, DARK, PLASTICS))]
    open_ = mouth * span(rng, 0.1, 0.4)
    for k in range(3):
        jaw = box(mouth - open_, 0.55 * mouth, 0.45 * high, 0.3)
        place = rotation("z", 120.0 * k) @ translation((mouth + open_) / 2, 0, 0.6 * high)
        out.append((f"jaw{k}", transformed(jaw, place), "steel"))
    return out


def _tap(rng: np.random.Generator) -> list[Piece]:
    """A thread tap: fluted thread, shank, square end."""
    r, long = span(rng, 2.5, 8), span(rng, 50, 95)
    cut = thread(max(0.8, 0.25 * r), 0.5 * long, long, 0.16 * r, 1.0)
    number = int(rng.choice([3, 4]))

    def change(radius: Array, z: Array, angle: Array) -> Array:
        groove = np.clip((np.cos(number * angle) - 0.1) / 0.5, 0, 1)
        cut_in = cut(radius, z, angle) * (1 - 0.45 * groove)
        flat = 0.72 * r / np.maximum(np.abs(np.cos(angle)), np.abs(np.sin(angle)))
        radius = np.where(z > 0.5 * long, cut_in, radius)
        return np.where(z < 0.12 * long, np.minimum(radius, flat), radius)

    body = turned([(0, 0), (0.9 * r, 0), (0.9 * r, 0.45 * long), (r, 0.5 * long),
                   (r, 0.9 * long), (0.7 * r, long), (0, long)], 0.1, 144, change, 0.3)  # fmt: skip
    return [("tap", body, pick(rng, BRIGHT, DARK, YELLOW))]


def _tins(rng: np.random.Generator) -> list[Piece]:
    """Tins stacked on each other, the top one open, closed with a lid, or a spray can."""
    r, z = span(rng, 18, 42), 0.0
    out: list[Piece] = []
    many = int(rng.integers(1, 4))
    for k in range(many):
        high = r * span(rng, 0.5, 1.5)
        shift = translation(*(float(v) for v in rng.normal(0, 0.05 * r, 2)), z)
        edge = [(r, 0), (1.03 * r, 0.6), (r, 1.4), (r, high - 1.4), (1.03 * r, high - 0.6),
                (r, high)]  # fmt: skip
        is_open = k == many - 1 and rng.random() < 0.5
        deep = high - 2 if is_open else span(rng, 1, 3)
        tin = turned(bored(edge, 0.95 * r, deep), 0.3, 96, None, 1.6)
        metal = pick(rng, BRIGHT, PAINTED, PLASTICS)
        out.append((f"tin{k}", transformed(tin, shift), metal))
        if k == many - 1 and rng.random() < 0.5:
            inside = high - deep
            if is_open:
                fill = disk(0.94 * r, inside, inside + span(rng, 0.1, 0.6) * high)
                matter = pick(rng, SOFT, PAINTED, ("oil", "soil", "off_white"))
            else:
                fill = ring(0.3 * r, 0.4 * r, inside - 0.3, inside + span(rng, 2, 9), 1.0)
                matter = pick(rng, PLASTICS, BRIGHT)
            out.append(("filling", transformed(fill, shift), matter))
        z += high
    return out


TOOLS: dict[str, Maker] = {
    "socket": _socket,
    "drill chuck": _chuck,
    "tap": _tap,
    "stacked tins": _tins,
}
