"""What a condition leaves on each part of the firing end. Source of all shares: our estimate."""

from dataclasses import replace

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.materials.noise import fractal, patches
from pipelines.studio.materials.spectra import Matter, matter
from pipelines.studio.materials.surface import Layer, Surface, texel_points
from pipelines.studio.plug import FiringEnd

TEXELS = {
    "nose": (512, 512),
    "shell": (1000, 512),
    "strap": (256, 128),
    "electrode": (160, 256),
    "gasket": (64, 256),
    "hex": (384, 512),
    "upper": (256, 128),
    "terminal": (64, 64),
}


def plug_surfaces(plug: FiringEnd, parts: dict[str, Mesh]) -> dict[str, Surface]:
    """The surface of every part, drawn from the plug's seed."""
    rng = np.random.default_rng([plug.seed, 2])
    matters = _Shelf(rng)
    points = {name: texel_points(mesh, *TEXELS[name]) for name, mesh in parts.items()}
    surfaces = {
        "nose": _nose(plug, points["nose"], matters, rng),
        "shell": _shell(plug, points["shell"], matters),
        "strap": _electrode_metal(plug, points["strap"], matters, "strap"),
        "electrode": _electrode_metal(plug, points["electrode"], matters, "electrode"),
        "gasket": _body_metal(plug, points["gasket"], matters, 31),
        "hex": _body_metal(plug, points["hex"], matters, 37),
        "upper": Surface((Layer(matters("glaze")),)),
        "terminal": Surface((Layer(matters("plating")),)),
    }
    return {name: replace(s, points=points[name]) for name, s in surfaces.items()}


class _Shelf:
    """Matters drawn once for each plug, so that all its parts share one roughness of soot."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._drawn: dict[str, Matter] = {}

    def __call__(self, name: str) -> Matter:
        if name not in self._drawn:
            self._drawn[name] = matter(name, self._rng)
        return self._drawn[name]


def _ramp(value: Array, low: float, high: float) -> Array:
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return t * t * (3 - 2 * t)


def _side(plug: FiringEnd, points: Array) -> Array:
    """-1..1 from the clean to the covered side of the plug."""
    where = np.radians(plug.strap_turn + 70.0)
    radius = np.maximum(np.hypot(points[..., 0], points[..., 1]), 1e-6)
    return (points[..., 0] * np.cos(where) + points[..., 1] * np.sin(where)) / radius


def _turning_marks(points: Array, seed: int, depth: float) -> Array:
    """Fine rings left by the lathe, in mm."""
    radius = np.hypot(points[..., 0], points[..., 1])
    ring = np.stack(
        [radius * 14, points[..., 2] * 14, np.arctan2(points[..., 1], points[..., 0])], -1
    )
    return depth * fractal(ring, seed, 2)


def _blisters(points: Array, rng: np.random.Generator, number: int, face: Array) -> Array:
    """Round swellings in mm scattered over the texels chosen by `face`."""
    out = np.zeros(points.shape[:2])
    where = points[face]
    for _ in range(number):
        centre = where[rng.integers(len(where))]
        size, height = rng.uniform(0.16, 0.42), rng.uniform(0.04, 0.12)
        distance = np.linalg.norm(points - centre, axis=-1) / size
        out = np.maximum(out, height * np.clip(1 - distance**2, 0, 1))
    return out


def _nose(plug: FiringEnd, points: Array, m: _Shelf, rng: np.random.Generator) -> Surface:
    s = plug.seed
    depth = plug.projection - points[..., 2]
    radius = np.hypot(points[..., 0], points[..., 1])
    layers: tuple[Layer, ...]
    lean = plug.one_sided * _side(plug, points)
    grain = fractal(points / 0.11, s + 1, 3)
    cloud = fractal(points / 1.3, s + 2, 4)
    rough = 0.006 * grain
    match plug.condition:
        case "unused":
            return Surface((Layer(m("ceramic")),), 0.0025 * grain)
        case "normal":
            strength = rng.uniform(0.75, 1.0)
            edge = np.exp(-(((radius - plug.nose_tip / 2 + 0.2) / 0.22) ** 2)) * (depth < 0.8)
            layers = (
                Layer(m("ceramic")),
                Layer(m("light_tan"), np.clip(0.86 + 0.22 * cloud, 0, 1) * strength),
                Layer(m("tan"), np.clip(0.68 + 0.5 * cloud + lean + 0.07 * grain, 0, 1) * strength),
                Layer(
                    m("grey_brown"),
                    np.clip(
                        _ramp(depth + 0.5 * cloud, 1.2, 4.5) * 0.9
                        + 0.25 * edge * (0.5 + cloud)
                        + 0.15 * np.clip(cloud + lean, 0, 1),
                        0,
                        1,
                    ),
                ),
                Layer(m("dark_brown"), 0.75 * patches(points / 0.16, s + 4, 0.012, 0.25, 2)),
            )
            return Surface(layers, rough)
        case "dry_black":
            velvet = 0.02 * fractal(points / 0.22, s + 5, 4)
            layers = (
                Layer(m("ceramic")),
                Layer(m("grey_brown"), np.full(points.shape[:2], 0.97)),
                Layer(m("soot"), np.clip(0.97 + 0.06 * cloud - 0.05 * (grain > 0.7), 0, 1)),
                Layer(m("loose_soot"), np.clip(0.4 + 0.6 * cloud + 0.25 * grain + lean, 0, 1)),
            )
            swell = 0.05 * np.clip(fractal(points / 0.7, s + 6, 4), -0.3, 1)
            return Surface(layers, velvet, swell)
        case "wet_black":
            crust = patches(points / 0.8, s + 7, 0.22, 0.35)
            wave = 0.04 * fractal(points / 1.0, s + 8, 2, 0.3) * (1 - crust)
            layers = (
                Layer(m("oily_soot")),
                Layer(m("oil"), np.clip(0.35 + 0.8 * cloud, 0, 1)),
                Layer(m("soot"), 0.75 * crust),
            )
            swell = 0.06 * crust + 0.05 * np.clip(cloud, -0.5, 1)
            return Surface(layers, wave + 0.02 * crust * grain, swell)
        case "chalk_white":
            face = depth < 1.6
            blisters = _blisters(points, rng, int(rng.integers(16, 34)), face)
            specks = patches(points / 0.2, s + 9, rng.uniform(0.015, 0.03), 0.12, 2)
            metal = patches(points / 0.3, s + 10, 0.006, 0.1, 2) * (depth < 2.5)
            layers = (
                Layer(m("chalk")),
                Layer(m("pale_grey"), np.clip(0.18 + 0.35 * cloud + 0.5 * lean, 0, 0.7)),
                Layer(m("ash"), 0.6 * _ramp(depth + 0.6 * cloud, 2.5, 6.0)),
                Layer(m("speck"), np.clip(specks + metal, 0, 0.92)),
            )
            return Surface(layers, 0.012 * fractal(points / 0.18, s + 11, 3), blisters)


def _shell(plug: FiringEnd, points: Array, m: _Shelf) -> Surface:
    s = plug.seed + 50
    z = points[..., 2]
    radius = np.hypot(points[..., 0], points[..., 1])
    inside = (radius < plug.bore_radius + 0.12) & (z < -0.12)
    crest = plug.thread / 2
    root = np.where(inside, 0.0, np.clip((crest - radius) / 0.75, 0, 1)) * _ramp(-z, 0.9, 1.6)
    cloud = fractal(points / 1.6, s, 4)
    fine = fractal(points / 0.2, s + 1, 3)
    lean = plug.one_sided * _side(plug, points)
    marks = _turning_marks(points, s + 2, 0.004)
    front = _ramp(z, -1.6, -0.5)
    bore = np.where(inside, _ramp(-z, 0.1, 1.2), 0.0)
    layers: tuple[Layer, ...]
    running = patches(points / np.array([2.5, 2.5, 5.0]), s + 3, 0.6, 0.7)
    match plug.condition:
        case "unused":
            shade = 0.25 * np.clip(fractal(points / 3.0, s, 3), 0, 1)
            dull = np.where(inside, 0.85 * _ramp(-z, 0.1, 0.5), 0.0)
            layers = (
                Layer(m("plating")),
                Layer(m("steel"), shade),
                Layer(m("scaled"), np.clip(dull + 0.06 * fine, 0, 0.9)),
            )
            return Surface(layers, marks)
        case "normal":
            layers = (
                Layer(m("steel")),
                Layer(m("varnished_steel"), np.clip(running + 0.3 * front, 0, 0.95)),
                Layer(
                    m("grey_brown"),
                    np.clip(front * (0.62 + 0.45 * cloud + 0.12 * fine + lean), 0, 0.95),
                ),
                Layer(
                    m("dark_brown"),
                    np.clip(0.75 * root * (0.7 + 0.5 * cloud) + 0.8 * bore, 0, 0.95),
                ),
                Layer(m("soot"), np.clip(0.8 * bore + 0.1 * front * (cloud > 0.35), 0, 0.9)),
            )
            return Surface(layers, marks + 0.012 * front * fine)
        case "dry_black":
            reach = _ramp(z + 1.2 * cloud, -5.5, -1.0)
            sooty = np.clip(reach * (0.97 + 0.1 * cloud) + 0.5 * root + bore, 0, 1)
            layers = (
                Layer(m("steel")),
                Layer(m("varnished_steel"), running),
                Layer(m("dark_brown"), np.clip(0.5 * root + 0.35 * reach, 0, 0.9)),
                Layer(m("soot"), np.clip(sooty, 0, 0.985)),
                Layer(m("loose_soot"), np.clip(sooty * (0.3 + 0.5 * cloud + 0.2 * fine), 0, 1)),
            )
            swell = 0.05 * front * np.clip(fractal(points / 0.7, s + 6, 4), -0.2, 1)
            return Surface(layers, marks + 0.02 * sooty * fine, swell)
        case "wet_black":
            reach = _ramp(z + 2.0 * cloud, -8.0, -1.0)
            oily = np.clip(reach * 0.97 + 0.6 * root + bore, 0, 0.985)
            crust = patches(points / 1.1, s + 7, 0.25, 0.4) * front
            layers = (
                Layer(m("steel")),
                Layer(m("varnished_steel"), running),
                Layer(m("oily_soot"), oily),
                Layer(m("oil"), np.clip(0.3 + 0.8 * cloud, 0, 1) * oily),
                Layer(m("soot"), 0.6 * crust),
            )
            wave = 0.05 * fractal(points / 1.3, s + 8, 2, 0.3) * oily
            return Surface(layers, wave + marks * (1 - oily), 0.05 * crust)
        case "chalk_white":
            layers = (
                Layer(m("steel")),
                Layer(m("straw"), np.clip(running * 0.6 + 0.5 * front, 0, 0.9)),
                Layer(m("scaled"), np.clip(front * (0.5 + 0.7 * cloud), 0, 0.9)),
                Layer(m("ash"), np.clip(front * (0.18 + 0.5 * cloud + 0.3 * fine), 0, 0.6)),
                Layer(m("oxide"), np.clip(0.6 * root + 0.75 * bore, 0, 0.9)),
            )
            return Surface(layers, marks + 0.015 * front * fine)


def _electrode_metal(plug: FiringEnd, points: Array, m: _Shelf, part: str) -> Surface:
    s = plug.seed + (80 if part == "strap" else 90)
    cloud = fractal(points / 1.1, s, 4)
    fine = fractal(points / 0.15, s + 1, 3)
    grain = 0.004 * fractal(points / np.array([0.5, 0.5, 0.06]), s + 2, 2)
    # The side that faces the spark is burnt clean: the electrode's end, the strap above it.
    height = points[..., 2]
    axis = np.hypot(points[..., 0], points[..., 1])
    layers: tuple[Layer, ...]
    if part == "strap":
        spark = np.exp(-((axis / 1.3) ** 2)) * (height < plug.underside + 0.25)
    else:
        spark = _ramp(height, plug.underside - plug.gap - 0.12, plug.underside - plug.gap - 0.02)
    match plug.condition:
        case "unused":
            return Surface((Layer(m("nickel")),), grain)
        case "normal":
            layers = (
                Layer(m("nickel")),
                Layer(m("scaled"), np.clip(0.75 + 0.3 * cloud, 0, 0.95)),
                Layer(
                    m("grey_brown"),
                    np.clip(0.72 + 0.5 * cloud + 0.15 * fine, 0, 0.95) * (1 - 0.75 * spark),
                ),
                Layer(m("tan"), np.clip(0.1 + 0.5 * cloud, 0, 0.5) * (1 - spark)),
            )
            return Surface(layers, grain + 0.012 * fine)
        case "dry_black":
            layers = (
                Layer(m("nickel")),
                Layer(m("scaled"), np.clip(0.6 + 0.3 * cloud, 0, 0.95)),
                Layer(m("soot"), np.clip(0.985 - 0.4 * spark + 0.05 * cloud, 0, 0.985)),
                Layer(
                    m("loose_soot"), np.clip(0.35 + 0.55 * cloud + 0.2 * fine, 0, 1) * (1 - spark)
                ),
            )
            swell = 0.05 * np.clip(fractal(points / 0.5, s + 3, 4), -0.2, 1)
            return Surface(layers, 0.02 * fine, swell)
        case "wet_black":
            crust = patches(points / 0.7, s + 4, 0.2, 0.4)
            layers = (
                Layer(m("nickel")),
                Layer(m("oily_soot"), np.clip(0.97 + 0.1 * cloud, 0, 0.985)),
                Layer(m("oil"), np.clip(0.35 + 0.8 * cloud, 0, 1)),
                Layer(m("soot"), 0.7 * crust),
            )
            wave = 0.05 * fractal(points / 1.2, s + 5, 2, 0.3) * (1 - crust)
            return Surface(layers, wave + 0.02 * crust * fine, 0.05 * crust)
        case "chalk_white":
            layers = (
                Layer(m("nickel")),
                Layer(m("straw"), np.clip(0.5 + 0.6 * cloud, 0, 1)),
                Layer(m("blued"), np.clip(0.35 - 0.8 * cloud, 0, 0.9)),
                Layer(m("scaled"), np.clip(0.35 + 0.5 * fine + 0.4 * spark, 0, 0.85)),
                Layer(m("ash"), np.clip(0.1 + 0.45 * cloud + 0.3 * fine, 0, 0.55)),
            )
            swell = 0.06 * plug.wear * fractal(points / 0.6, s + 6, 3)
            return Surface(layers, grain + 0.02 * fine, swell)


def _body_metal(plug: FiringEnd, points: Array, m: _Shelf, salt: int) -> Surface:
    s = plug.seed + salt
    marks = _turning_marks(points, s, 0.004)
    if plug.condition == "unused":
        return Surface((Layer(m("plating")),), marks)
    dirt = patches(points / 4.0, s + 1, 0.4, 0.8)
    layers = (
        Layer(m("steel")),
        Layer(m("varnished_steel"), np.clip(0.6 * dirt, 0, 1)),
        Layer(m("dark_brown"), 0.6 * patches(points / 2.0, s + 2, 0.2, 0.6)),
    )
    return Surface(layers, marks)
