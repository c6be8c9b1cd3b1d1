"""Bench tops and cloths under the plug. Source of all patterns: our estimate."""

from collections.abc import Callable

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.materials.noise import fractal, patches, value_noise
from pipelines.studio.materials.stains import stains, warped
from pipelines.studio.materials.surface import Layer, Surface, texel_points
from pipelines.studio.materials.world import matter

Pattern = Callable[[Array, int, np.random.Generator], Surface]


def _wood(points: Array, seed: int, rng: np.random.Generator) -> Surface:
    x, y = points[..., 0], points[..., 1]
    plank = np.floor((y + rng.uniform(0, 60)) / 62.0)
    shifted = np.stack([x / 90.0 + 7 * plank, y / 5.0 + 13 * plank, plank], -1)
    grain = fractal(shifted, seed, 3)
    rings = 0.5 + 0.5 * np.sin(7.0 * (y / 14.0 + 1.6 * grain))
    fibre = value_noise(np.stack([x / 7.0, y / 0.35, plank], -1), seed + 1)
    joint = np.exp(-(((np.mod(y + 62 * 50, 62.0) - 0.0) / 0.5) ** 2))
    dark = np.clip(0.25 + 0.45 * rings + 0.22 * fibre + 0.2 * grain, 0, 1)
    stain = stains(points, seed + 2, 38.0, rng)
    layers = (
        Layer(matter("wood_light", rng)),
        Layer(matter("wood_dark", rng), np.clip(dark + joint, 0, 1)),
        Layer(matter("dark_brown", rng), 0.75 * stain),
    )
    return Surface(layers, 0.03 * fibre - 0.4 * joint, points=points)


def _steel(points: Array, seed: int, rng: np.random.Generator) -> Surface:
    x, y = points[..., 0], points[..., 1]
    brush = value_noise(np.stack([x / 25.0, y / 0.5, 0 * x], -1), seed)
    brush += 0.6 * value_noise(np.stack([x / 1.2, y / 30.0, 0 * x + 3], -1), seed + 1)
    dirt = fractal(warped(points, seed + 2, 40.0) / 60.0, seed + 2, 6, 0.6)
    dirt = np.clip(dirt + 0.2, 0, 1)
    layers = (
        Layer(matter("steel", rng)),
        Layer(matter("scaled", rng), 0.5 * dirt),
        Layer(matter("dark_brown", rng), 0.6 * stains(points, seed + 3, 18.0, rng)),
        Layer(
            matter("rust"), 0.5 * patches(warped(points, seed, 9.0) / 4.0, seed + 4, 0.01, 0.5, 5)
        ),
    )
    return Surface(layers, 0.006 * brush, points=points)


def _rubber(points: Array, seed: int, rng: np.random.Generator) -> Surface:
    x, y = points[..., 0], points[..., 1]
    rib = 0.25 * np.clip(np.sin(2 * np.pi * y / 3.2) * 2, -1, 1)
    cloud = fractal(warped(points, seed, 50.0) / 45.0, seed, 6, 0.65)
    dust = np.clip(0.12 + 0.3 * cloud, 0, 0.5)
    dust = dust + 0.15 * np.clip(value_noise(points / 0.6, seed + 1), 0, 1)
    layers = (Layer(matter("rubber", rng)), Layer(matter("concrete"), np.clip(dust, 0, 0.6)))
    return Surface(
        layers, rib + 0.01 * value_noise(np.stack([x, y, 0 * x], -1) / 0.4, seed), None, points
    )


def _cloth(colour: str) -> Pattern:
    def weave(points: Array, seed: int, rng: np.random.Generator) -> Surface:
        x, y = points[..., 0], points[..., 1]
        pitch = 1.3
        over = np.sin(2 * np.pi * x / pitch) * np.sin(2 * np.pi * y / pitch)
        fuzz = fractal(points / 0.8, seed, 2)
        wash = fractal(points / 25.0, seed + 1, 3)
        layers = (
            Layer(matter(colour, rng)),
            Layer(matter("cloth_pale"), np.clip(0.06 + 0.08 * fuzz + 0.06 * wash, 0, 1)),
            Layer(matter("dark_brown", rng), 0.8 * stains(points, seed + 2, 22.0, rng)),
            Layer(matter("soot"), 0.5 * stains(points, seed + 3, 9.0, rng)),
        )
        return Surface(layers, 0.09 * over + 0.08 * fuzz, None, points)

    return weave


def _concrete(points: Array, seed: int, rng: np.random.Generator) -> Surface:
    cloud = fractal(warped(points, seed, 60.0) / 70.0, seed, 6, 0.6)
    sand = fractal(points / 0.7, seed + 1, 2)
    layers = (
        Layer(matter("concrete")),
        Layer(matter("ash"), np.clip(0.15 + 0.25 * cloud + 0.15 * sand, 0, 0.8)),
        Layer(matter("soot"), np.clip(0.06 - 0.2 * sand, 0, 0.4)),
        Layer(matter("dark_brown", rng), 0.8 * stains(points, seed + 2, 40.0, rng)),
    )
    return Surface(layers, 0.06 * sand, None, points)


def _cardboard(colour: str) -> Pattern:
    def board(points: Array, seed: int, rng: np.random.Generator) -> Surface:
        x, y = points[..., 0], points[..., 1]
        flute = np.sin(2 * np.pi * y / 7.2)
        fibre = value_noise(np.stack([x / 1.6, y / 0.5, 0 * x], -1), seed)
        cloud = fractal(points / 35.0, seed + 1, 3)
        layers = (
            Layer(matter(colour)),
            Layer(matter("kraft_dark"), np.clip(0.12 + 0.12 * fibre + 0.1 * cloud, 0, 1)),
            Layer(matter("dark_brown", rng), 0.7 * stains(points, seed + 2, 26.0, rng)),
            Layer(matter("oil"), 0.4 * stains(points, seed + 3, 30.0, rng)),
        )
        return Surface(layers, 0.03 * flute + 0.02 * fibre, None, points)

    return board


def _enamel(colour: str) -> Pattern:
    """A painted bench or lid: scratches down to the metal, dirt in the corners."""

    def paint(points: Array, seed: int, rng: np.random.Generator) -> Surface:
        x, y = points[..., 0], points[..., 1]
        t = rng.uniform(0, np.pi)
        along = np.stack([x * np.cos(t) + y * np.sin(t), y * np.cos(t) - x * np.sin(t), 0 * x], -1)
        used = np.clip(fractal(points / 45.0, seed + 4, 3) - 0.1, 0, 1)
        bent = along + np.array([0.0, 2.0, 0.0]) * fractal(points / 60.0, seed + 5, 2)[..., None]
        scratch = np.clip(value_noise(bent / np.array([70.0, 0.4, 1.0]), seed) - 0.6, 0, 1)
        scratch = np.clip(6 * scratch * used, 0, 1)
        peel = fractal(points / 2.5, seed + 1, 2)
        layers = (
            Layer(matter(colour, rng)),
            Layer(matter("steel", rng), np.clip(scratch, 0, 0.8)),
            Layer(matter("dark_brown", rng), 0.8 * stains(points, seed + 2, 30.0, rng)),
            Layer(
                matter("rust"),
                0.6 * patches(warped(points, seed, 14.0) / 5.0, seed + 3, 0.008, 0.5, 5),
            ),
        )
        return Surface(layers, 0.008 * peel - 0.02 * scratch, None, points)

    return paint


def _even(colour: str, dirt: float = 0.0, grain: float = 0.01) -> Pattern:
    """A plain sheet with hardly a mark: paper, a light table, a plastic lid."""

    def sheet(points: Array, seed: int, rng: np.random.Generator) -> Surface:
        fine = value_noise(points / 0.9, seed)
        layers = (
            Layer(matter(colour, rng)),
            Layer(matter("dark_brown", rng), dirt * stains(points, seed + 1, 20.0, rng)),
        )
        return Surface(layers, grain * fine, None, points)

    return sheet


def _towel(points: Array, seed: int, rng: np.random.Generator) -> Surface:
    x, y = points[..., 0], points[..., 1]
    dots = np.cos(2 * np.pi * x / 5.0) * np.cos(2 * np.pi * y / 5.0)
    layers = (
        Layer(matter("paper_towel")),
        Layer(matter("dark_brown", rng), 0.6 * stains(points, seed, 16.0, rng)),
        Layer(matter("oil"), 0.4 * stains(points, seed + 1, 14.0, rng)),
    )
    return Surface(layers, 0.18 * dots + 0.05 * fractal(points / 1.2, seed, 2), None, points)


def _gravel(points: Array, seed: int, rng: np.random.Generator) -> Surface:
    """Colours of loose stones; their shape is the ground's own (`objects.grounds`)."""
    kind = value_noise(points / 4.2, seed)
    other = value_noise(points / 5.1 + 40.0, seed + 1)
    grit = fractal(points / 0.7, seed + 2, 2)
    layers = (
        Layer(matter("gravel_grey")),
        Layer(matter("gravel_sand"), np.clip((kind - 0.1) * 6, 0, 1)),
        Layer(matter("gravel_dark", rng), np.clip((other - 0.25) * 6, 0, 1)),
        Layer(matter("concrete"), np.clip((-kind - 0.35) * 6, 0, 1)),
        Layer(matter("soil"), np.clip(0.15 + 0.35 * grit, 0, 0.7)),
    )
    return Surface(layers, 0.06 * grit, None, points)


def _soil(points: Array, seed: int, rng: np.random.Generator) -> Surface:
    lump, grit = fractal(points / 9.0, seed, 4), fractal(points / 0.8, seed + 1, 3)
    layers = (
        Layer(matter("soil")),
        Layer(matter("gravel_sand"), np.clip(0.1 + 0.5 * grit + 0.2 * lump, 0, 0.8)),
        Layer(matter("gravel_dark", rng), np.clip(0.4 * lump, 0, 0.6)),
    )
    return Surface(layers, 0.3 * lump + 0.12 * grit, None, points)


def _glove(colour: str) -> Pattern:
    """Coated palm of a work glove: fine pebbles, knit between them, grease."""

    def palm(points: Array, seed: int, rng: np.random.Generator) -> Surface:
        pebble = value_noise(points / 0.8, seed)
        wash = fractal(points / 18.0, seed + 1, 3)
        worn = patches(points / 15.0, seed + 2, 0.10, 0.9, 3)
        layers = (
            Layer(matter(colour, rng)),
            Layer(matter("knit_grey"), 0.22 * worn),
            Layer(matter("dark_brown", rng), np.clip(0.12 + 0.25 * wash, 0, 0.6)),
            Layer(matter("oil"), 0.4 * stains(points, seed + 3, 11.0, rng)),
        )
        return Surface(layers, 0.08 * pebble, None, points)

    return palm


BACKDROPS: dict[str, Pattern] = {
    "wood": _wood,
    "steel": _steel,
    "rubber": _rubber,
    "concrete": _concrete,
    "blue cloth": _cloth("cloth_blue"),
    "red cloth": _cloth("cloth_red"),
    "pale cloth": _cloth("cloth_pale"),
    "cardboard": _cardboard("cardboard"),
    "kraft": _cardboard("kraft_dark"),
    "green paint": _enamel("paint_green"),
    "grey paint": _enamel("enamel_grey"),
    "white": _even("white_sweep", 0.0, 0.0),
    "black plastic": _even("plastic_black", 0.5, 0.02),
    "yellow plastic": _even("plastic_yellow", 0.4, 0.02),
    "paper": _even("paper", 0.25, 0.004),
    "towel": _towel,
    "gravel": _gravel,
    "soil": _soil,
    "blue glove": _glove("nitrile_blue"),
    "black glove": _glove("nitrile_black"),
    "orange glove": _glove("nitrile_orange"),
    "green glove": _glove("nitrile_green"),
    "leather": _glove("leather"),
}


def backdrop(name: str, mesh: Mesh, seed: int, texel: float = 0.25) -> Surface:
    """Surface of a bench top or cloth for a flat grid mesh; `texel` in mm.

    Raises KeyError with the known names when there is none of that name.
    """
    if name not in BACKDROPS:
        raise KeyError(f"no backdrop called {name!r}; known: {', '.join(BACKDROPS)}")
    size = np.ptp(mesh.vertices, axis=0)
    rows, columns = (max(8, int(np.ceil(size[k] / texel))) for k in (1, 0))
    points = texel_points(mesh, rows, columns)
    return BACKDROPS[name](points, seed, np.random.default_rng([seed, 5]))
