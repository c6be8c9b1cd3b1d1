"""The studio's physics against published values: what `physics` prints and the tests hold to.

Each measure renders or computes what the studio makes and gives it beside what it should be.
"""

import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.geometry.sheet import plane
from pipelines.studio.lights.lamps import Lamp, Lighting
from pipelines.studio.materials.films import PASSES, absorption, over, two_flux
from pipelines.studio.materials.spectra import WAVELENGTHS, lab, matter
from pipelines.studio.materials.surface import Layer, Surface
from pipelines.studio.references.flat import flat
from pipelines.studio.scenery import Item, Scene
from pipelines.studio.view import View

if TYPE_CHECKING:
    from pipelines.studio.scene import Loaded

CHART_LIMIT = 1.0
"""ΔE00 of any patch."""
SHEET_LIMIT = 0.02
"""Of the closed form's radiance."""
SOOT_LIMIT = 0.1
"""ΔE00 between the studio's film and the published law."""

CHART_SOURCE = (
    'reference library: colour-science, SDS_COLOURCHECKERS["babel_average"] (averages over many '
    "charts), its own sd_to_XYZ under CIE D65 and the 2° observer"
)
SHEET_SOURCE = (
    "published: CIE, International Lighting Vocabulary, term 633, lambertian surface (M = pi L); "
    "irradiance of a small disk is its solid angle times its radiance"
)
SOOT_SOURCE = (
    "published: Kubelka, J. Opt. Soc. Am. 38, 448 (1948), abstract: reflectance over a backing and "
    "transmittance in hyperbolic form"
)
THICKNESSES = (0.0, 0.05, 0.1, 0.25, 0.5, 1.0, 2.0, 60.0)


def delta(a: Array, b: Array) -> Array:
    """ΔE00 of CIELAB values (…, 3). Reference library: colour-science."""
    import colour

    return np.asarray(colour.delta_E(a, b, method="CIE 2000"))


def published_chart() -> Array:
    """CIELAB (24, 3) of the 24-patch chart under D65/2°; see `CHART_SOURCE`."""
    import colour

    chart = colour.SDS_COLOURCHECKERS["babel_average"]
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS["D65"]
    with warnings.catch_warnings():
        # It says that it trims the spectra's ends, where the observer is blind.
        warnings.simplefilter("ignore")
        xyz = np.stack([colour.sd_to_XYZ(s, cmfs, light) for s in chart.values()]) / 100
    return np.asarray(colour.XYZ_to_Lab(xyz, [0.31270, 0.32900]))


def rendered_chart(samples: int = 36) -> Array:
    """CIELAB (24, 3) under D65/2° of a rendered chart's patches, `samples` paths a pixel.

    Lit by one small disk, seen from straight above; radiance is divided by each patch's own
    irradiance. Needs Mitsuba.
    """
    chart = flat("chart", 1)
    fov = float(1.25 * np.degrees(chart.width / 900))
    view = View((0, 0, 900.0), (0, 0, 0), (0, 1, 0), fov, 96, 72, 0.1, (0, 0, 0))
    lamp = Lamp("disk", (0.0, -900.0, 900.0), (0.0, 0.0, 0.0), (60.0, 60.0), 100.0)
    bands = _rendered(chart.pieces, lamp, view, samples)
    top_left, top_right, _, low_left = chart.field
    s, t = (np.arange(24) % 6 + 0.5) / 6, (np.arange(24) // 6 + 0.5) / 4
    middles = top_left + np.outer(s, top_right - top_left) + np.outer(t, low_left - top_left)
    pixels = view.project(middles).astype(int)
    seen = np.stack([bands[y - 1 : y + 2, x - 1 : x + 2].mean(axis=(0, 1)) for x, y in pixels])
    return lab(seen / (_irradiance(lamp, middles) / np.pi)[:, None])


def rendered_sheet(name: str, samples: int = 64) -> tuple[Array, Array]:
    """Radiance (16,) of a matte sheet under a disk straight above it, and the closed form's.

    Needs Mitsuba.
    """
    view = View((30.0, -60.0, 200.0), (0, 0, 0), (0, 1, 0), 20.0, 48, 36, 0.5, (0, 0, 0))
    lamp = Lamp("disk", (0.0, 0.0, 400.0), (0.0, 0.0, 0.0), (20.0, 20.0), 100.0)
    sheet = (("sheet", plane(400, 400), Surface((Layer(matter(name)),))),)
    got = _rendered(sheet, lamp, view, samples)[14:22, 20:28].mean(axis=(0, 1))
    return got, matter(name).reflectance * _irradiance(lamp, np.zeros((1, 3))) / np.pi


def _irradiance(lamp: Lamp, points: Array) -> Array:
    """Irradiance (n,) on points (n, 3) of z-facing planes by a small disk: L A cos cos / d²."""
    way = np.subtract(lamp.place, points)
    axis = np.subtract(lamp.place, lamp.aim) / np.linalg.norm(np.subtract(lamp.place, lamp.aim))
    area = np.pi * (lamp.size[0] / 2) ** 2
    return np.asarray(lamp.radiance * area * (way @ axis) * way[:, 2] / (way**2).sum(axis=1) ** 2)


def _rendered(
    pieces: tuple[tuple[str, Mesh, Surface], ...], lamp: Lamp, view: View, samples: int
) -> Array:
    from pipelines.studio import render
    from pipelines.studio.scene import build

    render.start_once()
    items = tuple(Item(*piece) for piece in pieces)
    loaded: Loaded = build(Scene(items, Lighting("D65", (lamp,), 0.0, 1), view, None))
    return np.asarray(render.bands(loaded, (0, 0, view.width, view.height), samples, 1))


def studio_film(film: str, ground: str, thickness: Array) -> Array:
    """Reflectance (n, 16) of films as the studio makes them."""
    r = matter(film).reflectance
    return over(*two_flux(r, _green(r), thickness), matter(ground).reflectance)


def published_film(film: str, ground: str, thickness: Array) -> Array:
    """The same (n, 16) by `SOOT_SOURCE`, the scattering found by halving from its transmittance."""
    thick, backing = matter(film).reflectance, matter(ground).reflectance
    scatter = _scatter_for(_green(thick))
    a = 1 + absorption(thick)
    b = np.sqrt(a * a - 1)
    x = np.maximum(np.asarray(thickness, float)[:, None] * scatter, 1e-12)
    # The hyperbolic cotangent is 1 to all digits from 20 on.
    coth = 1 / np.tanh(np.minimum(b * x, 20.0))
    return np.asarray((1 - backing * (a - b * coth)) / (a + b * coth - backing))


def _scatter_for(green: float) -> float:
    """Scattering of thickness 1 that lets `PASSES` of the light at 550 nm through."""
    a = float(1 + absorption(green))
    b = float(np.sqrt(a * a - 1))
    low, high = 1e-9, 1e3 / b
    for _ in range(200):
        middle = (low * high) ** 0.5
        y = b * middle
        passes = b / (a * np.sinh(y) + b * np.cosh(y)) if y < 300 else 0.0
        low, high = (middle, high) if passes > PASSES else (low, middle)
    return (low * high) ** 0.5


def _green(r: Array) -> float:
    return float(np.interp(550.0, WAVELENGTHS, r))


def chart_lines() -> tuple[list[str], bool]:
    """The rendered chart against its reference colours: lines to print, and whether it holds."""
    off = delta(rendered_chart(), published_chart())
    line = f"24 patches rendered under D65: ΔE00 mean {off.mean():.2f}, worst {off.max():.2f}"
    return [f"{line} (limit {CHART_LIMIT:g})", CHART_SOURCE], bool(off.max() < CHART_LIMIT)


def sheet_lines() -> tuple[list[str], bool]:
    """A matte white sheet's radiance against the closed form."""
    got, wanted = rendered_sheet("paper")
    off = np.abs(got / wanted - 1)
    line = f"white matte sheet: radiance off by {100 * off.max():.2f} % at most in sixteen bands"
    return [f"{line} (limit {100 * SHEET_LIMIT:g} %)", SHEET_SOURCE], bool(off.max() < SHEET_LIMIT)


def soot_lines() -> tuple[list[str], bool]:
    """Thin soot on ceramic between bare ceramic and thick soot."""
    thickness = np.array(THICKNESSES)
    got, wanted = (f("soot", "ceramic", thickness) for f in (studio_film, published_film))
    colours = lab(got)
    off = delta(colours, lab(wanted))
    bare, thick = lab(matter("ceramic").reflectance), lab(matter("soot").reflectance)
    ends = max(float(delta(colours[0], bare)), float(delta(colours[-1], thick)))
    falls = bool(np.all(np.diff(colours[:, 0]) < 0))
    steps = ", ".join(f"{t:g}: {c[0]:.1f}" for t, c in zip(thickness, colours, strict=True))
    lines = [
        f"soot on ceramic, thickness and L*: {steps}",
        f"bare ceramic {bare[0]:.1f}, thick soot {thick[0]:.1f}: ends met to ΔE00 {ends:.2f}, L* "
        f"falls all the way: {'yes' if falls else 'no'}",
        f"against the published law: worst ΔE00 {off.max():.3f} (limit {SOOT_LIMIT:g})",
        SOOT_SOURCE,
    ]
    return lines, bool(off.max() < SOOT_LIMIT and ends < SOOT_LIMIT and falls)


CHECKS: dict[str, Callable[[], tuple[list[str], bool]]] = {
    "chart": chart_lines,
    "sheet": sheet_lines,
    "soot": soot_lines,
}


def report() -> tuple[str, bool]:
    """What all checks print, and whether all hold."""
    out, all_hold = [], True
    for name, check in CHECKS.items():
        lines, holds = check()
        out += [f"{name}: {'holds' if holds else 'DOES NOT HOLD'}", *(f"  {v}" for v in lines)]
        all_hold = all_hold and holds
    return "\n".join(out), all_hold
