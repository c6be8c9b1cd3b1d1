"""The surface of every part of a plug, from its conditions, findings and palette."""

from collections.abc import Collection, Mapping
from dataclasses import replace

import numpy as np

from pipelines.studio.geometry.mesh import Mesh
from pipelines.studio.materials import electrodes, nose, shell
from pipelines.studio.materials.findings import FINDINGS, with_findings
from pipelines.studio.materials.metal_history import with_history
from pipelines.studio.materials.mixture import ORDER, covers_of, mixed_looks
from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place
from pipelines.studio.materials.surface import Layer, Map, Surface, texel_points
from pipelines.studio.plug import FiringEnd

TEXELS = {
    "nose": (416, 448),
    "shell": (640, 384),
    "strap": (192, 112),
    "electrode": (128, 192),
    "gasket": (48, 192),
    "hex": (192, 256),
    "bridge": (96, 96),
}
"""Rows and columns of the maps of a part; the others are uniform."""

_LOOKS: dict[str, Mapping[str | None, nose.Look]] = {
    "nose": nose.LOOKS,
    "shell": shell.LOOKS,
    "strap": electrodes.LOOKS,
    "electrode": electrodes.LOOKS,
}

_SALT = {"shell": 50, "strap": 80, "electrode": 90, "gasket": 31, "hex": 37, "bridge": 95}


def plug_surfaces(
    plug: FiringEnd,
    parts: Mapping[str, Mesh],
    *,
    shares: Mapping[str, float] | None = None,
    findings: Collection[str] = (),
    palette: str | None = None,
) -> dict[str, Surface]:
    """The surface of every part in `parts`, drawn from the plug's seed.

    `shares` of conditions sum to 1, over the nose above 3 mm below the rim; None: those of the
    plug. What `findings` leave is added to what the plug itself has. A part's kind is its name up
    to the first underscore, so `strap_2` is a strap. `palette` is a name in `PALETTES`; None: the
    plug's own, or the demo's.

    Raises ValueError for unknown conditions, findings, palettes or parts, and for shares that do
    not sum to 1.
    """
    mixture = dict(plug.mixture if shares is None else shares)
    found = {*plug.findings, *findings}
    _check(mixture, found)
    shelf = Shelf(plug.seed, palette or plug.palette)
    kinds = {name: name.split("_")[0] for name in parts}
    places = {
        name: Place(plug, kinds[name], _points(mesh, kinds[name]), plug.seed + _salt(name))
        for name, mesh in parts.items()
        if kinds[name] in TEXELS
    }
    covers = covers_of(places["nose"], mixture) if len(mixture) > 1 else {}
    out = {}
    for name, mesh in parts.items():
        if name not in places:
            out[name] = _uniform(kinds[name], shelf, mixture)
            continue
        place, kind = places[name], kinds[name]
        if kind in ("gasket", "hex"):
            surface = shell.body(place, shelf, mixture == {"unused": 1.0} and not found)
            surface = with_history(surface, place, shelf)
        elif kind == "bridge":
            surface = _bridge(place, shelf)
        else:
            surface = mixed_looks(mixture, _LOOKS[kind], covers, place, shelf)
            if kind != "nose":
                surface = with_history(surface, place, shelf)
            surface = with_findings(surface, place, shelf, found)
        surface = replace(surface, points=place.points)
        out[name] = surface if mesh.grid is not None else _flattened(surface)
    return out


def _check(mixture: Mapping[str, float], findings: Collection[str]) -> None:
    if unknown := sorted(set(mixture) - set(ORDER)):
        raise ValueError(f"no condition called {unknown[0]!r}; known: {', '.join(ORDER)}")
    if unknown := sorted(set(findings) - set(FINDINGS)):
        raise ValueError(f"no finding called {unknown[0]!r}; known: {', '.join(FINDINGS)}")
    if mixture and (min(mixture.values()) < 0 or abs(sum(mixture.values()) - 1) > 1e-6):
        raise ValueError(f"shares must be from 0 and sum to 1, not {dict(mixture)}")


def _salt(name: str) -> int:
    kind, *number = name.split("_")
    again = int(number[0]) if number and number[0].isdigit() else 0
    return _SALT.get(kind, 0) + 1000 * again


def _points(mesh: Mesh, kind: str) -> Map:
    if mesh.grid is None:
        return np.asarray(mesh.vertices[:, None], np.float32)
    return texel_points(mesh, *TEXELS[kind])


def _uniform(kind: str, m: Shelf, mixture: Mapping[str, float]) -> Surface:
    match kind:
        case "upper":
            return Surface((Layer(m("glaze")),))
        case "terminal":
            return Surface((Layer(m("plating")),))
        case "balls":
            return Surface((Layer(m("aluminium")),))
        case "drops":
            return Surface((Layer(m("oil")),))
    known = ", ".join([*TEXELS, "upper", "terminal", "balls", "drops"])
    raise ValueError(f"no surface for a part called {kind!r} ({dict(mixture)}); known: {known}")


def _bridge(p: Place, m: Shelf) -> Surface:
    """Deposits across the gap: carbon or ash, crumbly."""
    rng = np.random.default_rng([p.plug.seed, 26])
    kind = "soot" if rng.random() < 0.6 else "ash_beige"
    crumbs = p.noise(0.2, 1, 3)
    layers = (Layer(m("dark_brown")), Layer(m(kind), np.clip(0.75 + 0.5 * crumbs, 0, 1)))
    return Surface(layers, 0.03 * crumbs)


def _flattened(surface: Surface) -> Surface:
    """The same without maps: each cover at its mean, for meshes whose uv is not a grid."""

    def mean(values: Map | None) -> Map | None:
        return None if values is None else np.full((2, 2), values.mean(), np.float32)

    return Surface(tuple(Layer(x.matter, mean(x.cover), mean(x.film)) for x in surface.layers))
