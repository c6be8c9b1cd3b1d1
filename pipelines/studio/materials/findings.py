"""What findings leave on nose, electrodes and rim, over whatever condition lies there.

Bridged, worn and mechanical change the shape alone. Source of all shares: our estimate, after the
trade's descriptions.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.damage import broken, crack_distance
from pipelines.studio.materials.noise import Field, fractal
from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place, film, ramp, spots
from pipelines.studio.materials.surface import Layer, Map, Surface

CRACK_SEEN = 0.05
"""Half width in mm of the dark line along a crack."""

Finding = Callable[[Surface, Place, Shelf, np.random.Generator], Surface]


def _added(
    surface: Surface,
    layers: tuple[Layer, ...],
    smooth: Map | float = 0.0,
    height: Map | float = 0.0,
    swell: Map | float = 0.0,
) -> Surface:
    """More layers, the old fine relief smoothed (0..1) and new relief raised on it."""
    fine = (0.0 if surface.height is None else surface.height) * (1 - smooth) + height
    coarse = (0.0 if surface.swell is None else surface.swell) + swell
    return replace(
        surface,
        layers=(*surface.layers, *layers),
        height=fine if isinstance(fine, np.ndarray) else surface.height,
        swell=coarse if isinstance(coarse, np.ndarray) else surface.swell,
    )


def _front(p: Place) -> Map:
    """1 on nose and electrodes, fading from the rim down the shell."""
    return ramp(p.z, -4.0, -0.5) if p.part == "shell" else np.ones(p.z.shape)


def _fuel_wet(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """A thin, dark tan, wet film with runs and drier islands."""
    cloud = p.noise(1.6, 200, 3)
    wet = np.clip(rng.uniform(0.9, 1.6) + 1.6 * cloud, 0, 1) * _front(p)
    thick = rng.uniform(0.15, 0.45) + 0.25 * cloud
    stain = np.clip(rng.uniform(0.2, 0.5) + 0.5 * p.noise(0.9, 202, 3), 0, 0.75) * _front(p)
    layers = (
        film(m("grey_brown"), stain),
        film(m("fuel_film"), np.clip(thick, 0.08, 0.7) * wet),
    )
    return _added(s, layers, 0.8 * wet, 0.03 * wet * p.noise(1.1, 201, 2))


def _ash(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """A light grey, beige or yellowish crust that stands up."""
    kind = str(rng.choice(["ash", "ash_beige", "ash_yellow"]))
    share, high = rng.uniform(0.35, 0.85), rng.uniform(0.08, 0.22)
    crust = p.patches(1.4, 210, share, 0.4) * _front(p)
    crumbs = p.noise(0.25, 211, 3)
    layers = (
        film(m(kind), np.clip(0.5 * _front(p) + 0.3 * p.noise(1.3, 212), 0, 0.7)),
        Layer(m(kind), crust * np.clip(0.9 + 0.2 * crumbs, 0, 1)),
        Layer(m("grey_brown"), 0.3 * crust * np.clip(-crumbs, 0, 1)),
    )
    bumps = crust * (0.5 + 0.5 * np.clip(crumbs + 0.3, 0, 1))
    return _added(s, layers, 0.5 * crust, 0.035 * crust * crumbs, high * bumps)


def _glazed(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """A yellowish, shiny skin."""
    if p.part == "shell":
        return s
    cover = p.patches(1.8, 220, rng.uniform(0.65, 0.97), 0.4, 3)
    thick = rng.uniform(0.2, 0.55) + 0.2 * p.noise(1.2, 221, 3)
    skin = film(m("glaze_film"), np.clip(thick, 0.12, 0.9) * cover)
    return _added(s, (skin,), 0.9 * cover, 0.02 * cover * p.noise(1.3, 222, 2))


def _specks(p: Place, number: int, size: tuple[float, float], salt: int) -> Field:
    return spots(p.points, _seen(p), number, size, p.seed + salt)


def _seen(p: Place) -> npt.NDArray[np.bool_]:
    if p.part == "nose":
        return p.depth < 3.0
    return p.z > -1.0


def _metal_specks(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """Flakes and beads of the piston's aluminium, some dulled to grey."""
    many = {"nose": 1.0, "electrode": 0.25, "shell": 0.5}.get(p.part, 0.3)
    bright = _specks(p, int(many * rng.integers(15, 60)), (0.05, 0.2), 230)
    dull = _specks(p, int(many * rng.integers(10, 40)), (0.04, 0.14), 231)
    layers = (
        Layer(m("scaled"), np.clip(6 * dull, 0, 1)),
        Layer(m("aluminium"), np.clip(6 * bright, 0, 1)),
    )
    bead = 0.07 * np.sqrt(bright) + 0.04 * np.sqrt(dull)
    return _added(s, layers, np.clip(bright + dull, 0, 1), 0.0, bead)


def _coloured(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """Rust, brick or orange of a fuel additive, as a dusty coat."""
    kind = str(rng.choice(["rust", "brick", "additive_orange"]))
    strong = rng.uniform(0.55, 0.98)
    cloud, grain = p.noise(1.2, 240), p.noise(0.14, 241, 2)
    coat = np.clip(strong * (0.9 + 0.45 * cloud + 0.1 * grain + p.lean), 0, 0.98) * _front(p)
    return _added(s, (film(m(kind), coat),), 0.3 * coat, 0.006 * coat * grain)


def _coolant(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """Washed patches down to the ceramic, and chalky streaks where coolant dried."""
    if p.part in ("strap", "electrode"):
        streak = p.noise(0.8, 250, 3)
    else:
        # Streaks run down the plug: long in height and radius, narrow round the axis, and wavering.
        angle = np.arctan2(p.points[..., 1], p.points[..., 0]) + 0.25 * p.noise(1.2, 253, 2)
        around = np.stack([2.2 * np.cos(angle), 2.2 * np.sin(angle), 0.2 * (p.z + p.radius)], -1)
        streak = fractal(around / 0.45, p.seed + 250, 3) + 0.4 * p.noise(0.5, 254, 3)
    streaks = np.clip((streak - rng.uniform(-0.05, 0.25)) / 0.5, 0, 1)
    washed = p.patches(1.5, 251, rng.uniform(0.15, 0.4), 0.25)
    bare = {"nose": "ceramic", "electrode": "nickel"}.get(p.part, "steel")
    front = _front(p)
    layers = (
        Layer(m(bare), 0.85 * washed * front),
        Layer(m("salt"), rng.uniform(0.5, 0.85) * streaks * front),
    )
    return _added(s, layers, 0.6 * washed, 0.02 * streaks * front * p.noise(0.2, 252, 2))


def _dust(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """Sand melted to a glassy skin, with grains stuck in it."""
    cloud = p.noise(1.4, 260, 3)
    skin = np.clip(rng.uniform(0.4, 0.75) + 0.35 * cloud, 0.08, 0.9) * _front(p)
    grains = p.patches(0.16, 261, rng.uniform(0.06, 0.16), 0.3, 2) * _front(p)
    layers = (
        film(m("sand_skin"), skin),
        Layer(m("sand_grain"), 0.85 * grains),
    )
    return _added(s, layers, 0.7 * (skin > 0), 0.02 * grains, 0.04 * grains)


def _detonation(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """Pepper all over the nose, now and then a bead of metal."""
    share = rng.uniform(0.012, 0.035) * (1.0 if p.part == "nose" else 0.4)
    pepper = p.patches(0.09, 270, share, 0.12, 1) * _seen(p)
    coarse = _specks(p, int(rng.integers(8, 30)), (0.05, 0.12), 271)
    bright = _specks(p, int(rng.integers(0, 5)), (0.04, 0.1), 272)
    layers = (
        Layer(m("speck"), np.clip(np.maximum(pepper, 5 * coarse), 0, 0.95)),
        Layer(m("aluminium"), np.clip(6 * bright, 0, 1)),
    )
    return _added(s, layers, 0.0, 0.015 * np.clip(coarse + bright, 0, 1))


def _pre_ignition(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """Big blisters and run glaze on the nose, blue and straw on the metal."""
    if p.part != "nose":
        hot = _front(p) * np.clip(0.6 + 0.5 * p.noise(1.2, 280), 0, 1)
        return _added(s, (Layer(m("straw"), 0.5 * hot), Layer(m("blued"), 0.6 * hot**2)))
    face = p.depth < 1.8
    blisters = spots(p.points, face, int(rng.integers(12, 30)), (0.25, 0.7), p.seed + 281)
    melted = p.patches(1.1, 282, rng.uniform(0.3, 0.7), 0.3, 3) * ramp(2.0 - p.depth, 0.0, 0.8)
    layers = (film(m("melt"), 0.7 * melted), Layer(m("speck"), 0.9 * (blisters > 0.93)))
    return _added(s, layers, 0.8 * melted, 0.0, rng.uniform(0.08, 0.18) * blisters)


def _uneven(s: Surface, p: Place, m: Shelf, rng: np.random.Generator) -> Surface:
    """One side dark, or a ring of soot."""
    ring, strong = rng.random() < 0.4, rng.uniform(0.8, 0.99)
    cloud = p.noise(1.0, 290)
    if ring and p.part == "nose":
        middle, width = p.plug.nose_tip / 2 - rng.uniform(0.1, 0.5), rng.uniform(0.3, 0.6)
        out = np.where(p.depth < 0.5, p.radius, p.plug.nose_tip / 2 + p.depth)
        dark = np.exp(-(((out - middle + 0.25 * cloud) / width) ** 2))
    elif ring:
        return s
    else:
        dark = ramp(p.side + 0.3 * cloud, rng.uniform(-0.3, 0.0), rng.uniform(0.15, 0.5))
    return _added(s, (film(m("soot"), strong * dark * _front(p)),), 0.0, 0.006 * dark * cloud)


def _cracked(s: Surface, p: Place, m: Shelf, _rng: np.random.Generator) -> Surface:
    """A dark line where the nose is cracked, clean dull ceramic where a piece is off."""
    if p.part != "nose":
        return s
    layers: tuple[Layer, ...] = ()
    if p.plug.chip > 0:
        layers = (Layer(m("chalk"), 0.95 * broken(p.plug, p.points)),)
    if p.plug.crack > 0:
        # Soot and oil creep into the groove and a little way past its edges.
        line = np.clip(1.5 - crack_distance(p.plug, p.points) / CRACK_SEEN, 0, 1)
        layers = (*layers, Layer(m("soot"), 0.9 * line))
    return _added(s, layers)


def _unchanged(s: Surface, _p: Place, _m: Shelf, _rng: np.random.Generator) -> Surface:
    return s


FINDINGS: dict[str, Finding] = {
    # In the order in which they are laid on: what is wet or stuck on comes last.
    "uneven": _uneven,
    "coloured": _coloured,
    "ash": _ash,
    "glazed": _glazed,
    "dust": _dust,
    "pre_ignition": _pre_ignition,
    "detonation": _detonation,
    "metal_specks": _metal_specks,
    "coolant": _coolant,
    "cracked": _cracked,
    "fuel_wet": _fuel_wet,
    "bridged": _unchanged,
    "worn": _unchanged,
    "mechanical": _unchanged,
}


def with_findings(surface: Surface, place: Place, shelf: Shelf, findings: set[str]) -> Surface:
    """The surface of one part with what findings leave on it."""
    for k, (name, finding) in enumerate(FINDINGS.items()):
        if name in findings:
            # The same draws on every part: one plug has one kind of ash.
            rng = np.random.default_rng([place.plug.seed, 25, k])
            surface = finding(surface, place, shelf, rng)
    return surface
