"""Forms that many workshop parts share: rings, recesses, teeth, dimples, balls, and what they are
made of. Angles in radians, lengths in mm."""

from collections.abc import Callable, Sequence

import numpy as np

from pipelines.studio.geometry.lathe import RadiusChange, hexagon
from pipelines.studio.geometry.mesh import Array, Mesh, joined, transformed
from pipelines.studio.geometry.pose import translation
from pipelines.studio.objects.shapes import turned

Piece = tuple[str, Mesh, str]
Maker = Callable[[np.random.Generator], list[Piece]]

BRIGHT = ("steel", "plating", "tool_chrome", "aluminium", "yellow_plating", "steel")
DARK = ("black_oxide", "scaled", "rust", "varnished_steel", "black_plating")
YELLOW = ("brass", "copper_coin", "brass")
METALS = (*BRIGHT, *DARK, *YELLOW)
PAINTED = ("enamel_grey", "paint_green", "grip_red", "plastic_yellow", "plastic_blue")
PLASTICS = ("plastic_black", "plastic_white", "plastic_blue", "plastic_yellow", "plastic_black")
SOFT = ("rubber", "plastic_black", "nitrile_green", "grip_red", "nitrile_orange")
WHITE = ("ceramic", "plastic_white", "glaze")


def pick(rng: np.random.Generator, *groups: Sequence[str]) -> str:
    """A matter out of one of the groups, each group alike."""
    return str(rng.choice(list(groups[int(rng.integers(len(groups)))])))


def span(rng: np.random.Generator, low: float, high: float) -> float:
    """A number between the two."""
    return float(rng.uniform(low, high))


def ring(
    inner: float,
    outer: float,
    low: float,
    high: float,
    corner: float = 0.3,
    sides: int = 96,
    change: RadiusChange | None = None,
    step: float = 0.8,
) -> Mesh:
    """Ring between two radii and two heights."""
    middle = (low + high) / 2
    loop = [(inner, middle), (inner, low), (outer, low), (outer, high), (inner, high)]
    return turned([*loop, (inner, middle)], corner, sides, change, step)


def disk(radius: float, low: float, high: float, corner: float = 0.3, sides: int = 64) -> Mesh:
    """Solid disk or rod between two heights."""
    return turned([(0, low), (radius, low), (radius, high), (0, high)], corner, sides, None, 0.8)


def round_ring(radius: float, thick: float, high: float, sides: int = 96) -> Mesh:
    """Ring of round section: its middle line's radius, the section's diameter, its middle height.

    As of an O-ring, or of wire.
    """
    t = np.linspace(-np.pi / 2, 1.5 * np.pi, 25)
    points = np.stack([radius + thick / 2 * np.cos(t), high + thick / 2 * np.sin(t)], 1)
    points[-1] = points[0]
    return turned([(float(r), float(z)) for r, z in points], 0.0, sides, None, thick)


def balls(number: int, radius: float, size: float, high: float, start: float = 0.0) -> Mesh:
    """Balls of that `size` (radius) in a ring, as one mesh."""
    t = np.linspace(-np.pi / 2, np.pi / 2, 13)
    arc = [(float(max(0.0, size * np.cos(a))), float(size * np.sin(a))) for a in t]
    arc[0], arc[-1] = (0.0, -size), (0.0, size)
    one = turned(arc, 0.0, 24, None, size)
    return round_about(one, number, radius, high, start)


def round_about(mesh: Mesh, number: int, radius: float, high: float, start: float = 0.0) -> Mesh:
    """Copies of a mesh set in a circle, as one mesh."""
    angles = start + 2 * np.pi * np.arange(number) / number
    places = [translation(radius * np.cos(a), radius * np.sin(a), high) for a in angles]
    return joined([transformed(mesh, place) for place in places])


def bored(
    outline: Sequence[tuple[float, float]], bore: float, depth: float
) -> list[tuple[float, float]]:
    """Points for `turned`: an outline from the bottom up to its top, with a blind bore in that."""
    top = outline[-1][1]
    return [(0.0, outline[0][1]), *outline, (bore, top), (bore, top - depth), (0.0, top - depth)]


def toothed(number: int, inner: float, outer: float, sharp: float, above: float) -> RadiusChange:
    """Radii above `above` go to and fro between inner and outer; `sharp` 1 is a wave, 6 square."""

    def change(radius: Array, _z: Array, angle: Array) -> Array:
        wave = np.clip(0.5 + 0.5 * sharp * np.cos(number * angle), 0, 1)
        return np.where(radius > above, np.minimum(radius, inner + (outer - inner) * wave), radius)

    return change


def within(limit: RadiusChange, bore: float, above: float) -> RadiusChange:
    """Gives a bore another outline: walls at that radius and above that height follow `limit`."""

    def change(radius: Array, z: Array, angle: Array) -> Array:
        shape = limit(np.full_like(radius, bore), z, angle)
        wall = (radius > 0.02) & (radius <= bore * 1.001) & (z > above)
        return np.where(wall, shape * radius / bore, radius)

    return change


def hexagonal(across: float) -> RadiusChange:
    """A six-sided recess of that width; its bore must be wider than the corners."""
    six = hexagon(across)

    def change(radius: Array, z: Array, angle: Array) -> Array:
        return six(np.full_like(radius, 1e3), z, angle)

    return change


def cross(half_width: float, length: float) -> RadiusChange:
    """A cross-shaped recess: arms of that half width and that length."""

    def change(_radius: Array, _z: Array, angle: Array) -> Array:
        c, s = (np.maximum(np.abs(f(angle)), 1e-9) for f in (np.cos, np.sin))
        along = np.minimum(length / c, half_width / s)
        return np.asarray(np.maximum(along, np.minimum(length / s, half_width / c)))

    return change


def lobed(number: int, middle: float, swing: float) -> RadiusChange:
    """A recess or outline with that many round lobes."""

    def change(radius: Array, _z: Array, angle: Array) -> Array:
        return np.asarray(np.full_like(radius, middle) + swing * np.cos(number * angle))

    return change


def pressed(mesh: Mesh, top: float, depth: Callable[[Array, Array], Array]) -> Mesh:
    """The mesh with its top face (all at height `top`) sunk by `depth(x, y)` mm."""
    vertices = mesh.vertices.copy()
    face = vertices[:, 2] > top - 1e-3
    vertices[face, 2] -= depth(vertices[face, 0], vertices[face, 1])
    return Mesh(vertices, mesh.faces, mesh.uv, mesh.grid)


def dimples(
    number: int, at: float, radius: float, depth: float, start: float = 0.0
) -> Callable[[Array, Array], Array]:
    """Depths of round holes in a circle, for `pressed`."""

    def sunk(x: Array, y: Array) -> Array:
        turn = 2 * np.pi / number
        angle = np.mod(np.arctan2(y, x) - start + turn / 2, turn) - turn / 2
        off = np.hypot(np.hypot(x, y) * np.cos(angle) - at, np.hypot(x, y) * np.sin(angle))
        return np.asarray(depth * np.clip((radius - off) / 0.6 + 0.5, 0, 1))

    return sunk
