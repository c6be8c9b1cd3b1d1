"""What each condition leaves on centre electrode and straps. Source of all shares: our estimate."""

from dataclasses import dataclass

import numpy as np

from pipelines.studio.materials.noise import Field
from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place, film, ramp
from pipelines.studio.materials.spectra import Matter
from pipelines.studio.materials.surface import Layer, Map, Surface


@dataclass(frozen=True)
class _Zones:
    """`spark` 0..1 is where the spark burns the metal clean; the rest are noises."""

    spark: Map
    cloud: Field
    fine: Field
    grain: Field


def _zones(p: Place) -> _Zones:
    top = p.plug.electrode_top
    if p.part == "electrode":
        spark = ramp(p.z, top - 0.12, top - 0.02)
    else:
        spark = np.exp(-((p.radius / 1.3) ** 2)) * (p.z < p.plug.underside + 0.25)
    return _Zones(
        spark,
        p.noise(1.1, 0),
        p.noise(0.15, 1, 3),
        0.004 * p.noise(np.array([0.5, 0.5, 0.06]), 2, 2),
    )


def _metal(p: Place, m: Shelf) -> Matter:
    fine_wire = p.part == "electrode" and p.plug.centre == "fine_wire"
    return m("noble" if fine_wire else "nickel")


def unused(p: Place, m: Shelf) -> Surface:
    """Bright metal, drawn along its length."""
    return Surface((Layer(_metal(p, m)),), _zones(p).grain)


def normal(p: Place, m: Shelf) -> Surface:
    """Grey-brown, burnt clean at the spark; grey on a pale plug."""
    k = _zones(p)
    coat = np.clip(0.72 + 0.5 * k.cloud + 0.15 * k.fine, 0, 0.95) * (1 - 0.75 * k.spark)
    pale = p.plug.pale
    layers = (
        Layer(_metal(p, m)),
        Layer(m("scaled"), np.clip(0.75 + 0.3 * k.cloud, 0, 0.95)),
        Layer(m("grey_brown"), coat * (0.45 if pale else 1.0)),
        Layer(m("light_grey"), coat * (0.45 if pale else 0.0)),
        Layer(m("tan"), np.clip(0.1 + 0.5 * k.cloud, 0, 0.5) * (1 - k.spark) * (1 - 0.8 * pale)),
    )
    return Surface(layers, k.grain + 0.012 * k.fine)


def dry_black(p: Place, m: Shelf) -> Surface:
    """Sooty all over, thinner at the spark."""
    k = _zones(p)
    loose = np.clip(0.35 + 0.55 * k.cloud + 0.2 * k.fine, 0, 1) * (1 - k.spark)
    layers = (
        Layer(_metal(p, m)),
        Layer(m("scaled"), np.clip(0.6 + 0.3 * k.cloud, 0, 0.95)),
        film(m("soot"), np.clip(0.985 - 0.4 * k.spark + 0.05 * k.cloud, 0, 0.99)),
        Layer(m("loose_soot"), loose),
    )
    return Surface(layers, 0.02 * k.fine, 0.05 * np.clip(p.noise(0.5, 3), -0.2, 1))


def wet_black(p: Place, m: Shelf) -> Surface:
    """Oily film over soot."""
    k = _zones(p)
    crust = p.patches(0.7, 4, 0.2, 0.4)
    layers = (
        Layer(_metal(p, m)),
        Layer(m("oily_soot"), np.clip(0.97 + 0.1 * k.cloud, 0, 0.985)),
        film(m("oil"), np.clip(0.25 + 0.4 * k.cloud, 0.05, 0.8)),
        Layer(m("soot"), 0.7 * crust),
    )
    wave = 0.05 * p.noise(1.2, 5, 2) * (1 - crust)
    return Surface(layers, wave + 0.02 * crust * k.fine, 0.05 * crust)


def chalk_white(p: Place, m: Shelf) -> Surface:
    """Straw and blue tints, scale, eroded where it is worn."""
    k = _zones(p)
    layers = (
        Layer(_metal(p, m)),
        Layer(m("straw"), np.clip(0.5 + 0.6 * k.cloud, 0, 1)),
        Layer(m("blued"), np.clip(0.35 - 0.8 * k.cloud, 0, 0.9)),
        Layer(m("scaled"), np.clip(0.35 + 0.5 * k.fine + 0.4 * k.spark, 0, 0.85)),
        Layer(m("ash"), np.clip(0.1 + 0.45 * k.cloud + 0.3 * k.fine, 0, 0.55)),
    )
    return Surface(layers, k.grain + 0.02 * k.fine, 0.06 * p.plug.wear * p.noise(0.6, 6, 3))


def bare(p: Place, m: Shelf) -> Surface:
    """Metal that has run a little: dull and thinly coated."""
    k = _zones(p)
    layers = (
        Layer(_metal(p, m)),
        Layer(m("scaled"), np.clip(0.55 + 0.4 * k.cloud, 0, 0.9)),
        Layer(m("grey_brown"), np.clip(0.25 + 0.5 * k.cloud, 0, 0.7) * (1 - k.spark)),
    )
    return Surface(layers, k.grain + 0.01 * k.fine)


LOOKS = {
    "unused": unused,
    "normal": normal,
    "dry_black": dry_black,
    "wet_black": wet_black,
    "chalk_white": chalk_white,
    None: bare,
}
