"""The one scattering model of all surfaces, as the renderer runs it (needs Mitsuba).

A matte body under a rough mirror (GGX, Schlick's approximation), all sixteen bands at once. What
the maps mean is said in `atlas`. Directions are in the shading frame of the hit.
"""

from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi

from pipelines.studio.buffers import held
from pipelines.studio.materials.atlas import OPTICS, SKIN_F0, Atlas

GROUPS = 4
"""The bands travel as so many packets of four."""


@dataclass(frozen=True)
class Skins:
    """An atlas in the renderer's memory, flat."""

    body: Any
    mirror: Any
    optics: Any
    first: Any
    rows: Any
    columns: Any


def uploaded(maps: Atlas) -> Skins:
    """The atlas as the renderer's arrays."""
    floats = (held(mi.Float, m) for m in (maps.body, maps.mirror, maps.optics))
    places = (held(mi.UInt32, p) for p in (maps.first, maps.rows, maps.columns))
    return Skins(*floats, *places)


@dataclass(frozen=True)
class Texel:
    """What the maps say of a hit: `body` and `mirror` as packets of four bands, the rest numbers;
    `frame` is the fine relief's."""

    body: list[Any]
    mirror: list[Any]
    edge: Any
    skin: Any
    alpha: Any
    frame: Any


def fetch(skins: Skins, item: Any, uv: Any, active: Any) -> Texel:
    """Bilinear values of an item's maps at uv; both wrap round."""
    first, rows, columns = (
        dr.gather(mi.UInt32, a, item, active) for a in (skins.first, skins.rows, skins.columns)
    )
    across, down = mi.Float(columns), mi.Float(rows)
    x, y = uv.x * across - 0.5, uv.y * down - 0.5
    left, top = dr.floor(x), dr.floor(y)
    s, t = x - left, y - top
    c0, c1 = (_wrapped(left + k, across) for k in (0, 1))
    r0, r1 = (_wrapped(top + k, down) for k in (0, 1))
    corners = [
        (first + mi.UInt32(r * across + c), a * b)
        for r, b in ((r0, 1 - t), (r1, t))
        for c, a in ((c0, 1 - s), (c1, s))
    ]
    body = _bands(skins.body, corners, active)
    mirror = _bands(skins.mirror, corners, active)
    near, far = (_packet(skins.optics, corners, OPTICS // 4, k, active) for k in (0, 1))
    normal = dr.normalize(mi.Vector3f(-near.w, -far.x, 1.0))
    return Texel(body, mirror, near.x, near.y, dr.maximum(near.z, 0.02), mi.Frame3f(normal))


def _wrapped(index: Any, size: Any) -> Any:
    """A whole number into 0..size − 1; 0 where a masked hit has no size."""
    return dr.select(size > 0, index - dr.floor(index / dr.maximum(size, 1)) * size, 0)


def _bands(source: Any, corners: list[tuple[Any, Any]], active: Any) -> list[Any]:
    return [_packet(source, corners, GROUPS, k, active) for k in range(GROUPS)]


def _packet(source: Any, corners: list[tuple[Any, Any]], of: int, k: int, active: Any) -> Any:
    """Weighted mean of packet `k` of `of` of the corner texels."""
    total = mi.Vector4f(0.0)
    for texel, weight in corners:
        total += weight * dr.gather(mi.Vector4f, source, texel * of + k, active)
    return total


def schlick(mirror: Any, edge: Any, cosine: Any) -> Any:
    """Mirror reflectance at an angle, by Schlick's approximation."""
    return mirror + (edge - mirror) * dr.power(dr.clip(1 - cosine, 0, 1), 5)


def lobes(here: Texel, wi_outer: Any, wo_outer: Any, active: Any) -> tuple[list[Any], Any, Any]:
    """Scattering towards `wo_outer`: value × cosine in packets of bands, the part of it that the
    mirror brings (as a share of their mean), and the density of `sample`."""
    wi, wo = here.frame.to_local(wi_outer), here.frame.to_local(wo_outer)
    ci, co = mi.Frame3f.cos_theta(wi), mi.Frame3f.cos_theta(wo)
    outer = (mi.Frame3f.cos_theta(wi_outer) > 0) & (mi.Frame3f.cos_theta(wo_outer) > 0)
    ok = active & (ci > 0) & (co > 0) & outer
    through = (1 - schlick(SKIN_F0, 1.0, ci)) * (1 - schlick(SKIN_F0, 1.0, co))
    # 0.958 × 0.960: what gets through at 0 and 45 degrees, where `body` was measured.
    matte = dr.lerp(mi.Float(1.0), through / 0.9197, here.skin) * co * dr.inv_pi
    half = dr.normalize(wi + wo)
    micro = mi.MicrofacetDistribution(mi.MicrofacetType.GGX, here.alpha, True)
    shape = micro.eval(half) * micro.G(wi, wo, half) / (4 * ci)
    cosine = dr.dot(wi, half)
    bodies = [body * matte for body in here.body]
    mirrors = [schlick(mirror, here.edge, cosine) * shape for mirror in here.mirror]
    values = [dr.select(ok, b + m, 0.0) for b, m in zip(bodies, mirrors, strict=True)]
    bright, shine = (dr.mean(sum(part)) for part in (bodies, mirrors))
    choose = choice(here, ci)
    pdf = choose * micro.pdf(wi, half) / (4 * dr.dot(wo, half)) + (
        1 - choose
    ) * mi.warp.square_to_cosine_hemisphere_pdf(wo)
    share = shine / dr.maximum(bright + shine, 1e-9)
    return values, dr.select(ok, share, 0.0), dr.select(ok, pdf, 0.0)


def choice(here: Texel, ci: Any) -> Any:
    """The chance with which a path goes on from the mirror rather than from the body."""
    shine = dr.mean(schlick(sum(here.mirror) / GROUPS, here.edge, ci))
    return dr.clip(shine / dr.maximum(shine + dr.mean(sum(here.body) / GROUPS), 1e-6), 0.0, 0.98)


def sample(here: Texel, wi_outer: Any, lobe: Any, place: Any) -> Any:
    """A direction to go on in; `lobe` and `place` (2) are random numbers."""
    wi = here.frame.to_local(wi_outer)
    micro = mi.MicrofacetDistribution(mi.MicrofacetType.GGX, here.alpha, True)
    half, _ = micro.sample(wi, place)
    glossy = lobe < choice(here, mi.Frame3f.cos_theta(wi))
    wo = dr.select(glossy, mi.reflect(wi, half), mi.warp.square_to_cosine_hemisphere(place))
    return here.frame.to_world(wo)
