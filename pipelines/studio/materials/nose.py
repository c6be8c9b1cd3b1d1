"""What each condition leaves on the insulator nose. Source of all shares: our estimate."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from pipelines.studio.materials.palettes import Shelf, tinted
from pipelines.studio.materials.place import Place, film, ramp, spots
from pipelines.studio.materials.surface import Layer, Surface

Look = Callable[[Place, Shelf], Surface]


def _draws(p: Place) -> np.random.Generator:
    return np.random.default_rng([p.plug.seed, 22])


def unused(p: Place, m: Shelf) -> Surface:
    """Bright, clean ceramic."""
    return Surface((Layer(m("ceramic")),), 0.0025 * p.noise(0.11, 1, 3))


def normal(p: Place, m: Shelf) -> Surface:
    """Light tan through grey-brown, or off-white to light grey on a pale plug."""
    return _pale(p, m) if p.plug.pale else _tan(p, m)


def _tan(p: Place, m: Shelf) -> Surface:
    strength = _draws(p).uniform(0.7, 1.0)
    grain, cloud = p.noise(0.11, 1, 3), p.noise(1.3, 2)
    edge = np.exp(-(((p.radius - p.plug.nose_tip / 2 + 0.2) / 0.22) ** 2)) * (p.depth < 0.8)
    tan = np.clip(0.68 + 0.5 * cloud + p.lean + 0.07 * grain, 0, 0.97) * strength
    base = ramp(p.depth + 0.5 * cloud, 1.2, 4.5) * 0.8
    brown = base + 0.2 * edge * (0.5 + cloud) + 0.1 * np.clip(cloud + p.lean, 0, 1)
    layers = (
        Layer(m("ceramic")),
        film(m("light_tan"), np.clip(0.86 + 0.22 * cloud, 0, 0.98) * strength),
        film(m("tan"), tan),
        film(m("grey_brown"), np.clip(brown, 0, 0.95)),
        Layer(m("dark_brown"), 0.75 * p.patches(0.16, 4, 0.012, 0.25, 2)),
    )
    return Surface(layers, 0.006 * grain)


def _pale(p: Place, m: Shelf) -> Surface:
    """As unleaded fuel and injection leave it: nearly bare, dull, no sign of heat."""
    rng = _draws(p)
    grain, cloud = p.noise(0.11, 1, 3), p.noise(1.3, 2)
    grey = rng.uniform(0.0, 0.75)
    warm = rng.uniform(0.0, 0.3)
    base = ramp(p.depth + 0.5 * cloud, 1.5, 5.0)
    layers = (
        Layer(m("ceramic")),
        film(m("off_white"), np.clip(0.75 + 0.25 * cloud, 0, 0.97)),
        film(m("light_grey"), np.clip(grey * (0.85 + 0.35 * cloud + p.lean), 0, 0.93)),
        film(m("light_tan"), np.clip(warm * (0.9 + 0.6 * cloud + p.lean) + 0.3 * base, 0, 0.8)),
        film(m("grey_brown"), np.clip(0.5 * base * (0.8 + 0.5 * cloud), 0, 0.8)),
    )
    return Surface(layers, 0.005 * grain)


def dry_black(p: Place, m: Shelf) -> Surface:
    """Velvet of soot, thick or so thin that the ceramic still shines through in places."""
    rng = _draws(p)
    grain, cloud = p.noise(0.11, 1, 3), p.noise(1.3, 2)
    thick = rng.uniform(0.9, 1.5)
    loose = rng.uniform(-0.1, 0.75)
    soot = (0.97 + 0.06 * cloud - 0.05 * (grain > 0.7)) * min(1.0, thick)
    layers = (
        Layer(m("ceramic")),
        film(m("grey_brown"), np.full(p.z.shape, 0.9)),
        film(m("soot"), np.clip(soot, 0.0, 0.995)),
        Layer(m("loose_soot"), np.clip(loose + 0.6 * cloud + 0.25 * grain + p.lean, 0, 1)),
    )
    swell = 0.05 * np.clip(p.noise(0.7, 6), -0.3, 1)
    return Surface(layers, 0.02 * p.noise(0.22, 5), swell)


def wet_black(p: Place, m: Shelf) -> Surface:
    """Soot under a film of oil: from jet black to the dark grey of dry soot, told by its shine."""
    rng = _draws(p)
    cloud = p.noise(1.3, 2)
    crust = p.patches(0.8, 7, rng.uniform(0.05, 0.3), 0.35)
    wave = 0.04 * p.noise(1.0, 8, 2) * (1 - crust)
    soot = m("oily_soot")
    soot = replace(soot, reflectance=tinted(soot.reflectance, -rng.uniform(0.0, 0.9), 0.0))
    oil = np.clip(rng.uniform(0.05, 0.3) + 0.3 * cloud, 0.04, 0.8)
    layers = (
        Layer(soot),
        Layer(m("loose_soot"), np.clip(rng.uniform(-0.4, 0.4) + 0.5 * cloud, 0, 0.7)),
        film(m("oil"), oil),
        Layer(m("soot"), 0.75 * crust),
    )
    swell = 0.06 * crust + 0.05 * np.clip(cloud, -0.5, 1)
    return Surface(layers, wave + 0.02 * crust * p.noise(0.11, 1, 3), swell)


def chalk_white(p: Place, m: Shelf) -> Surface:
    """White and matte with blisters, specks or melted glaze: at least one sign of heat."""
    rng = _draws(p)
    cloud = p.noise(1.3, 2)
    blisters = spots(
        p.points, p.depth < 1.6, int(rng.integers(10, 34)), (0.16, 0.42), p.seed + 3
    ) * rng.uniform(0.04, 0.12)
    specks = p.patches(0.2, 9, rng.uniform(0.008, 0.03), 0.12, 2)
    metal = p.patches(0.3, 10, 0.006, 0.1, 2) * (p.depth < 2.5)
    melted = p.patches(0.9, 12, rng.choice([0.0, 0.0, 0.15, 0.35]), 0.3) * (p.depth < 1.5)
    layers = (
        Layer(m("chalk")),
        Layer(m("pale_grey"), np.clip(0.18 + 0.35 * cloud + 0.5 * p.lean, 0, 0.7)),
        Layer(m("ash"), 0.6 * ramp(p.depth + 0.6 * cloud, 2.5, 6.0)),
        film(m("melt"), 0.6 * melted),
        Layer(m("speck"), np.clip(specks + metal, 0, 0.92)),
    )
    return Surface(layers, 0.012 * p.noise(0.18, 11, 3) * (1 - 0.8 * melted), blisters)


def bare(p: Place, m: Shelf) -> Surface:
    """Ceramic that has run a little and tells nothing: what findings lie on when alone."""
    cloud = p.noise(1.3, 2)
    layers = (
        Layer(m("ceramic")),
        film(m("off_white"), np.clip(0.35 + 0.25 * cloud, 0, 0.9)),
        film(m("light_tan"), np.clip(0.3 + 0.4 * cloud + p.lean, 0, 0.8)),
    )
    return Surface(layers, 0.006 * p.noise(0.11, 1, 3))


LOOKS: dict[str | None, Look] = {
    "unused": unused,
    "normal": normal,
    "dry_black": dry_black,
    "wet_black": wet_black,
    "chalk_white": chalk_white,
    None: bare,
}
