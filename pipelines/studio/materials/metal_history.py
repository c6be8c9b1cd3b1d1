"""What use, storage and the plater leave on metal, whatever the nose tells of the mixture.

A nose's colour and the state of the metal round it go together loosely in the trade: a pale nose
stands in a sooty rim, a new plug is black or yellow as often as bright. Drawn apart, they cannot
stand for each other. Source of all shares: our estimate.
"""

from dataclasses import replace

import numpy as np

from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place, film, ramp
from pipelines.studio.materials.surface import Layer, Map, Surface


def with_history(surface: Surface, p: Place, m: Shelf) -> Surface:
    """The metal of a part with what the plug's `metal` (one of `METALS`) lays over it."""
    added = _ADDED.get(p.plug.metal)
    return surface if added is None else replace(surface, layers=(*surface.layers, *added(p, m)))


def _front(p: Place) -> Map:
    """1 at the rim and on all that stands over it, 0 down the thread and on hexagon and gasket."""
    if p.part in ("hex", "gasket"):
        return np.zeros_like(p.z)
    return ramp(p.z + 0.6 * p.noise(1.3, 21), -3.0, -0.7)


def _amounts(p: Place, number: int) -> list[float]:
    """So many numbers 0..1, the same for all parts of a plug."""
    return [float(v) for v in np.random.default_rng([p.plug.seed, 33]).random(number)]


def _sooty(p: Place, m: Shelf) -> tuple[Layer, ...]:
    """A black or grey rim, first turns black, strap and electrode darkened but for the spark."""
    thick, grey, turns = _amounts(p, 3)
    cloud = p.noise(1.0, 22)
    front = _front(p)
    over = ramp(p.z + 1.5 * cloud, -2.0 - 6.0 * turns, -1.0) * (p.part == "shell")
    # The strap is sooty less than the rim: it runs hotter.
    strength = (0.6 + 0.38 * thick) * (1.0 if p.part == "shell" else 0.75)
    cover = np.clip(np.maximum(front, 0.85 * over) * (strength + 0.25 * cloud), 0, 0.985)
    return (
        film(m("soot"), cover),
        Layer(m("light_grey"), np.clip(front * (0.5 * grey - 0.15 + 0.4 * cloud), 0, 0.45)),
    )


def _varnished(p: Place, m: Shelf) -> tuple[Layer, ...]:
    """Olive and brown oil varnish on the thread, dark troughs, brown rim."""
    brown, olive = _amounts(p, 2)
    runs = p.noise(np.array([1.6, 1.6, 6.0]), 23, 3)
    front = _front(p)
    body = p.part in ("shell", "hex", "gasket")
    cover = np.clip((0.45 + 0.5 * brown) * (1.0 if body else 0.6) + 0.4 * runs, 0, 0.95)
    return (
        Layer(m("varnished_steel"), cover),
        Layer(m("straw"), np.clip(0.4 * olive * body + 0.4 * runs - 0.1, 0, 0.6)),
        Layer(m("dark_brown"), np.clip(front * (0.3 + 0.5 * brown + 0.4 * runs), 0, 0.9)),
    )


def _clean(p: Place, m: Shelf) -> tuple[Layer, ...]:
    """A plug not long in use, or wiped: bright thread and hexagon, rim and electrodes dulled."""
    (wiped,) = _amounts(p, 1)
    cloud = p.noise(1.8, 24)
    bright = np.clip((0.75 + 0.2 * wiped) * (1 - 0.55 * _front(p)) + 0.3 * cloud, 0, 0.96)
    if p.part == "shell":
        inside = (p.radius < p.plug.bore_radius + 0.12) & (p.z < -0.12)
        bright = np.where(inside, 0.0, bright)
    return (Layer(m("steel"), bright),)


def _blackened(p: Place, m: Shelf) -> tuple[Layer, ...]:
    """Black oxide as the maker left it: even, its edges bright; straps stay bare."""
    if p.part in ("strap", "electrode"):
        return ()
    return (Layer(m("oxide"), np.clip(0.93 + 0.1 * p.noise(0.3, 25, 2), 0, 0.98)),)


def _yellow(p: Place, m: Shelf) -> tuple[Layer, ...]:
    """Zinc passivated yellow: cloudy, in places nearly clear; straps stay bare."""
    if p.part in ("strap", "electrode"):
        return ()
    return (Layer(m("yellow_plating"), np.clip(0.8 + 0.5 * p.noise(2.5, 26, 3), 0.2, 0.97)),)


_ADDED = {
    "sooty": _sooty,
    "varnished": _varnished,
    "clean": _clean,
    "blackened": _blackened,
    "yellow": _yellow,
}
