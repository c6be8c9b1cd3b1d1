"""What each condition leaves on shell, gasket and hexagon. Source of all shares: our estimate."""

from dataclasses import dataclass

import numpy as np

from pipelines.studio.materials.noise import Field
from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place, film, ramp
from pipelines.studio.materials.surface import Layer, Map, Surface

RUBBED = 0.11
"""How far below the thread's outer edge its crests are rubbed bright, in mm."""


@dataclass(frozen=True)
class _Zones:
    """Maps 0..1 of the shell: the front, thread roots and crests, the bore, how brown heat has
    varnished it, rust; and its noises. `rubbed` is how bright the crests are."""

    front: Map
    root: Map
    crest: Map
    bore: Map
    varnish: Map
    rust: Map
    rubbed: float
    cloud: Field
    fine: Field
    marks: Field


def _zones(p: Place) -> _Zones:
    rng = np.random.default_rng([p.plug.seed, 28])
    inside = (p.radius < p.plug.bore_radius + 0.12) & (p.z < -0.12)
    below = np.where(inside, 0.0, ramp(-p.z, 0.9, 1.6))
    deep = p.plug.thread / 2 - p.radius
    cloud, fine = p.noise(1.6, 0), p.noise(0.2, 1, 2)
    rusty = float(rng.uniform(0.1, 0.5)) if rng.random() < 0.3 else 0.0
    root = np.clip(deep / 0.6, 0, 1) * below
    return _Zones(
        front=ramp(p.z, -1.6, -0.5),
        root=root,
        crest=ramp(-deep, -RUBBED, -0.03) * below * np.clip(0.7 + 0.6 * fine, 0, 1),
        bore=np.where(inside, ramp(-p.z, 0.1, 1.2), 0.0),
        varnish=_varnish(p, rng),
        rust=p.patches(1.3, 12, rusty, 0.5, 4) * (0.35 + 0.65 * root) * below,
        rubbed=float(rng.uniform(0.1, 0.9)),
        cloud=cloud,
        fine=fine,
        marks=p.turning_marks(2, 0.004),
    )


def _varnish(p: Place, rng: np.random.Generator) -> Map:
    """Oil baked on: from one end of the thread to the other, with runs along it and a colder side.

    Mostly brownest at the rim, which is hottest; some plugs where the gases cool, at the seat.
    """
    most, least = float(rng.uniform(0.65, 1.0)), float(rng.uniform(0.1, 0.55))
    hot = float(rng.uniform(0.3, 1.1)) * p.plug.reach
    fade = ramp(p.z + 2.5 * p.noise(np.array([3.5, 3.5, 9.0]), 9, 3), -hot, -1.0)
    fade = fade if rng.random() < 0.7 else 1.0 - fade
    runs = p.noise(np.array([1.4, 1.4, 8.0]), 3, 3)
    side = float(rng.uniform(0.0, 0.3)) * p.side
    return np.clip(least + (most - least) * fade + 0.35 * runs + side, 0.0, 0.97)


def _metal(p: Place, m: Shelf, k: _Zones, burnt: str = "varnished_steel") -> tuple[Layer, ...]:
    """Steel that has run: varnish, dirt in the troughs, rust, crests rubbed bright."""
    grime = np.clip(k.root * (0.75 + 0.5 * k.cloud), 0, 0.97)
    return (
        Layer(m("steel")),
        Layer(m("scaled"), np.clip(0.35 + 0.3 * k.cloud, 0, 0.8)),
        Layer(m(burnt), k.varnish),
        Layer(m("dark_brown"), np.clip(k.varnish * (0.2 + 0.6 * k.cloud), 0, 0.7)),
        Layer(m("dark_brown"), grime),
        Layer(m("soot"), np.clip(grime * ramp(p.z + 1.5 * k.cloud, -7.0, -1.5), 0, 0.9)),
        Layer(m("rust"), np.clip(k.rust, 0, 0.9)),
        Layer(m("steel"), np.clip(k.rubbed * k.crest, 0, 0.95)),
    )


def unused(p: Place, m: Shelf) -> Surface:
    """Bright plating, a little dull in the bore."""
    inside = (p.radius < p.plug.bore_radius + 0.12) & (p.z < -0.12)
    shade = 0.25 * np.clip(p.noise(3.0, 0, 3), 0, 1)
    dull = np.where(inside, 0.85 * ramp(-p.z, 0.1, 0.5), 0.0)
    layers = (
        Layer(m("plating")),
        Layer(m("steel"), shade),
        Layer(m("scaled"), np.clip(dull + 0.06 * p.noise(0.2, 1, 2), 0, 0.9)),
    )
    return Surface(layers, p.turning_marks(2, 0.004))


def normal(p: Place, m: Shelf) -> Surface:
    """Grey-brown front, running marks; greyer and thinner on a pale plug."""
    k = _zones(p)
    strength = 0.6 if p.plug.pale else 1.0
    front = k.front * (0.62 + 0.45 * k.cloud + 0.12 * k.fine + p.lean)
    layers = (
        *_metal(p, m, k),
        Layer(m("grey_brown"), np.clip(front * strength, 0, 0.95)),
        Layer(m("light_grey"), np.clip(front * 0.7 * (1 - strength), 0, 0.8)),
        Layer(m("dark_brown"), np.clip(0.8 * k.bore, 0, 1)),
        Layer(m("soot"), np.clip(0.8 * k.bore + 0.1 * k.front * (k.cloud > 0.35), 0, 0.9)),
    )
    return Surface(layers, k.marks + 0.012 * k.front * k.fine)


def dry_black(p: Place, m: Shelf) -> Surface:
    """Dry soot from the rim down into the threads."""
    k = _zones(p)
    reach = ramp(p.z + 1.2 * k.cloud, -5.5, -1.0)
    sooty = np.clip(reach * (0.97 + 0.1 * k.cloud) + 0.5 * k.root + k.bore, 0, 1)
    layers = (
        *_metal(p, m, k),
        Layer(m("dark_brown"), np.clip(0.35 * reach, 0, 0.9)),
        film(m("soot"), np.clip(sooty, 0, 0.99)),
        Layer(m("loose_soot"), np.clip(sooty * (0.3 + 0.5 * k.cloud + 0.2 * k.fine), 0, 1)),
        Layer(m("steel"), _screwed_out(p, k)),
    )
    swell = 0.05 * k.front * np.clip(p.noise(0.7, 6), -0.2, 1)
    return Surface(layers, k.marks + 0.02 * sooty * k.fine, swell)


def wet_black(p: Place, m: Shelf) -> Surface:
    """Oily soot, wet, with a crust here and there."""
    k = _zones(p)
    reach = ramp(p.z + 2.0 * k.cloud, -8.0, -1.0)
    oily = np.clip(reach * 0.97 + 0.6 * k.root + k.bore, 0, 0.985)
    crust = p.patches(1.1, 7, 0.25, 0.4, 3) * k.front
    layers = (
        *_metal(p, m, k),
        Layer(m("oily_soot"), oily),
        film(m("oil"), np.clip(0.25 + 0.4 * k.cloud, 0.05, 0.8), oily),
        Layer(m("soot"), 0.6 * crust),
        Layer(m("steel"), _screwed_out(p, k)),
    )
    wave = 0.05 * p.noise(1.3, 8, 2) * oily
    return Surface(layers, wave + k.marks * (1 - oily), 0.05 * crust)


def chalk_white(p: Place, m: Shelf) -> Surface:
    """Heat-tinted steel with scale and ash."""
    k = _zones(p)
    layers = (
        *_metal(p, m, k, "straw"),
        Layer(m("straw"), np.clip(0.5 * k.front, 0, 0.9)),
        Layer(m("blued"), np.clip(k.front * (0.3 - 0.8 * k.cloud), 0, 0.8)),
        Layer(m("scaled"), np.clip(k.front * (0.5 + 0.7 * k.cloud), 0, 0.9)),
        Layer(m("ash"), np.clip(k.front * (0.18 + 0.5 * k.cloud + 0.3 * k.fine), 0, 0.6)),
        Layer(m("oxide"), np.clip(0.3 * k.root + 0.75 * k.bore, 0, 0.9)),
    )
    return Surface(layers, k.marks + 0.015 * k.front * k.fine)


def _screwed_out(p: Place, k: _Zones) -> Map:
    """Crests that the head has rubbed clean of soot as the plug was screwed out, here and there."""
    return 0.8 * k.rubbed * k.crest * p.patches(np.array([2.5, 2.5, 1.2]), 14, 0.45, 0.8, 3)


def bare(p: Place, m: Shelf) -> Surface:
    """Steel that has run a little."""
    k = _zones(p)
    layers = (
        *_metal(p, m, k),
        Layer(m("grey_brown"), np.clip(k.front * (0.3 + 0.45 * k.cloud + p.lean), 0, 0.8)),
        Layer(m("dark_brown"), np.clip(0.7 * k.bore, 0, 0.9)),
    )
    return Surface(layers, k.marks + 0.008 * k.front * k.fine)


LOOKS = {
    "unused": unused,
    "normal": normal,
    "dry_black": dry_black,
    "wet_black": wet_black,
    "chalk_white": chalk_white,
    None: bare,
}


def body(p: Place, m: Shelf, new: bool) -> Surface:
    """Gasket and hexagon: plated when new, else with the dirt of use."""
    marks = p.turning_marks(0, 0.004)
    if new:
        return Surface((Layer(m("plating")),), marks)
    rng = np.random.default_rng([p.plug.seed, 29, len(p.part)])
    cloud, fine = p.noise(3.0, 1), p.noise(0.25, 3, 3)
    baked = float(rng.uniform(0.1, 0.8)) + 0.5 * p.noise(np.array([6.0, 6.0, 3.0]), 4, 3)
    rusty = float(rng.uniform(0.03, 0.2)) if rng.random() < 0.3 else 0.0
    scuffed = p.patches(np.array([4.0, 4.0, 0.25]), 5, float(rng.uniform(0.02, 0.15)), 0.3, 3)
    layers = (
        Layer(m("steel")),
        Layer(m("varnished_steel"), np.clip(baked, 0, 0.95)),
        Layer(m("scaled"), np.clip(0.3 + 0.3 * cloud + 0.2 * fine, 0, 0.8)),
        Layer(m("dark_brown"), 0.7 * p.patches(2.0, 2, float(rng.uniform(0.05, 0.35)), 0.6, 3)),
        Layer(m("rust"), 0.8 * p.patches(1.2, 6, rusty, 0.5, 4)),
        Layer(m("steel"), 0.8 * scuffed),
    )
    return Surface(layers, marks + 0.004 * fine)
