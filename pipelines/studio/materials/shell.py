"""What each condition leaves on shell, gasket and hexagon. Source of all shares: our estimate."""

from dataclasses import dataclass

import numpy as np

from pipelines.studio.materials.noise import Field
from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place, film, ramp
from pipelines.studio.materials.surface import Layer, Map, Surface


@dataclass(frozen=True)
class _Zones:
    """Maps 0..1 of the shell: the front, thread roots, the bore; and its noises."""

    front: Map
    root: Map
    bore: Map
    running: Map
    cloud: Field
    fine: Field
    marks: Field


def _zones(p: Place) -> _Zones:
    inside = (p.radius < p.plug.bore_radius + 0.12) & (p.z < -0.12)
    groove = np.clip((p.plug.thread / 2 - p.radius) / 0.75, 0, 1)
    return _Zones(
        front=ramp(p.z, -1.6, -0.5),
        root=np.where(inside, 0.0, groove) * ramp(-p.z, 0.9, 1.6),
        bore=np.where(inside, ramp(-p.z, 0.1, 1.2), 0.0),
        running=p.patches(np.array([2.5, 2.5, 5.0]), 3, 0.6, 0.7, 3),
        cloud=p.noise(1.6, 0),
        fine=p.noise(0.2, 1, 2),
        marks=p.turning_marks(2, 0.004),
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
        Layer(m("steel")),
        Layer(m("varnished_steel"), np.clip(k.running + 0.3 * k.front, 0, 0.95)),
        Layer(m("grey_brown"), np.clip(front * strength, 0, 0.95)),
        Layer(m("light_grey"), np.clip(front * 0.7 * (1 - strength), 0, 0.8)),
        Layer(m("dark_brown"), np.clip(0.75 * k.root * (0.7 + 0.5 * k.cloud) + 0.8 * k.bore, 0, 1)),
        Layer(m("soot"), np.clip(0.8 * k.bore + 0.1 * k.front * (k.cloud > 0.35), 0, 0.9)),
    )
    return Surface(layers, k.marks + 0.012 * k.front * k.fine)


def dry_black(p: Place, m: Shelf) -> Surface:
    """Dry soot from the rim down into the threads."""
    k = _zones(p)
    reach = ramp(p.z + 1.2 * k.cloud, -5.5, -1.0)
    sooty = np.clip(reach * (0.97 + 0.1 * k.cloud) + 0.5 * k.root + k.bore, 0, 1)
    layers = (
        Layer(m("steel")),
        Layer(m("varnished_steel"), k.running),
        Layer(m("dark_brown"), np.clip(0.5 * k.root + 0.35 * reach, 0, 0.9)),
        film(m("soot"), np.clip(sooty, 0, 0.99)),
        Layer(m("loose_soot"), np.clip(sooty * (0.3 + 0.5 * k.cloud + 0.2 * k.fine), 0, 1)),
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
        Layer(m("steel")),
        Layer(m("varnished_steel"), k.running),
        Layer(m("oily_soot"), oily),
        film(m("oil"), np.clip(0.25 + 0.4 * k.cloud, 0.05, 0.8), oily),
        Layer(m("soot"), 0.6 * crust),
    )
    wave = 0.05 * p.noise(1.3, 8, 2) * oily
    return Surface(layers, wave + k.marks * (1 - oily), 0.05 * crust)


def chalk_white(p: Place, m: Shelf) -> Surface:
    """Heat-tinted steel with scale and ash."""
    k = _zones(p)
    layers = (
        Layer(m("steel")),
        Layer(m("straw"), np.clip(k.running * 0.6 + 0.5 * k.front, 0, 0.9)),
        Layer(m("blued"), np.clip(k.front * (0.3 - 0.8 * k.cloud), 0, 0.8)),
        Layer(m("scaled"), np.clip(k.front * (0.5 + 0.7 * k.cloud), 0, 0.9)),
        Layer(m("ash"), np.clip(k.front * (0.18 + 0.5 * k.cloud + 0.3 * k.fine), 0, 0.6)),
        Layer(m("oxide"), np.clip(0.6 * k.root + 0.75 * k.bore, 0, 0.9)),
    )
    return Surface(layers, k.marks + 0.015 * k.front * k.fine)


def bare(p: Place, m: Shelf) -> Surface:
    """Steel that has run a little."""
    k = _zones(p)
    layers = (
        Layer(m("steel")),
        Layer(m("varnished_steel"), np.clip(0.8 * k.running, 0, 0.9)),
        Layer(m("grey_brown"), np.clip(k.front * (0.3 + 0.45 * k.cloud + p.lean), 0, 0.8)),
        Layer(m("dark_brown"), np.clip(0.6 * k.root + 0.7 * k.bore, 0, 0.9)),
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
    dirt = p.patches(4.0, 1, 0.4, 0.8, 3)
    layers = (
        Layer(m("steel")),
        Layer(m("varnished_steel"), np.clip(0.6 * dirt, 0, 1)),
        Layer(m("dark_brown"), 0.6 * p.patches(2.0, 2, 0.2, 0.6, 3)),
    )
    return Surface(layers, marks)
