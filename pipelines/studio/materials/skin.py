# ruff: noqa: ARG002  (the renderer sets the signatures)
"""The scattering model as the renderer runs it.

Import only after the variant is set (`render.start`): the class is made for that variant. The maps
are described in `bsdf`.
"""

from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.materials.bsdf import SKIN_F0, colours, optics
from pipelines.studio.materials.surface import Surface


class Skin(mi.BSDF):  # type: ignore[misc]
    """The scattering model. Its maps are set by `load`, four bands at a time."""

    def __init__(self, props: Any) -> None:
        mi.BSDF.__init__(self, props)
        self.m_components = [
            mi.BSDFFlags.DiffuseReflection | mi.BSDFFlags.FrontSide,
            mi.BSDFFlags.GlossyReflection | mi.BSDFFlags.FrontSide,
        ]
        self.m_flags = self.m_components[0] | self.m_components[1]
        self.colour = self._texture(np.zeros((2, 2, 8)))
        self.optic = self._texture(np.zeros((2, 2, 5)))
        self.matte: bool | None = None

    @staticmethod
    def _texture(values: Array) -> Any:
        data = mi.TensorXf(np.ascontiguousarray(values, dtype=np.float32))
        return mi.Texture2f(data, use_accel=False, wrap_mode=dr.WrapMode.Repeat)

    def load(self, surface: Surface, bands: Array, matte: bool) -> None:
        """Put the maps of four bands in place."""
        self.colour = self._texture(colours(surface, bands, matte))
        if matte is not self.matte:
            self.optic = self._texture(optics(surface, matte))
            self.matte = matte

    def _maps(self, si: Any, active: Any) -> tuple[Any, Any, Any, Any, Any, Any]:
        c = self.colour.eval(si.uv, active)
        edge, skin, alpha, su, sv = self.optic.eval(si.uv, active)
        normal = dr.normalize(mi.Vector3f(-su, -sv, 1.0))
        frame = mi.Frame3f(normal)
        body = mi.Spectrum(c[0], c[1], c[2], c[3])
        mirror = mi.Spectrum(c[4], c[5], c[6], c[7])
        return body, mirror, edge, skin, alpha, frame

    @staticmethod
    def _schlick(mirror: Any, edge: Any, cosine: Any) -> Any:
        return mirror + (edge - mirror) * dr.power(dr.clip(1 - cosine, 0, 1), 5)

    def _lobes(self, maps: Any, si: Any, wo_outer: Any, active: Any) -> tuple[Any, Any]:
        body, mirror, edge, skin, alpha, frame = maps
        wi, wo = frame.to_local(si.wi), frame.to_local(wo_outer)
        ci, co = mi.Frame3f.cos_theta(wi), mi.Frame3f.cos_theta(wo)
        ok = (
            active
            & (ci > 0)
            & (co > 0)
            & (mi.Frame3f.cos_theta(si.wi) > 0)
            & (mi.Frame3f.cos_theta(wo_outer) > 0)
        )
        through_i = 1 - self._schlick(SKIN_F0, 1.0, ci)
        through_o = 1 - self._schlick(SKIN_F0, 1.0, co)
        # 0.958 × 0.960: what gets through at 0 and 45 degrees, where `body` was measured.
        loss = dr.lerp(mi.Float(1.0), through_i * through_o / 0.9197, skin)
        half = dr.normalize(wi + wo)
        micro = mi.MicrofacetDistribution(mi.MicrofacetType.GGX, alpha, True)
        fresnel = self._schlick(mirror, edge, dr.dot(wi, half))
        glossy = fresnel * micro.eval(half) * micro.G(wi, wo, half) / (4 * ci)
        value = body * loss * co * dr.inv_pi + glossy
        choose = self._choice(body, mirror, edge, ci)
        pdf = choose * micro.pdf(wi, half) / (4 * dr.dot(wo, half)) + (
            1 - choose
        ) * mi.warp.square_to_cosine_hemisphere_pdf(wo)
        return dr.select(ok, value, 0.0), dr.select(ok, pdf, 0.0)

    def _choice(self, body: Any, mirror: Any, edge: Any, ci: Any) -> Any:
        shine = dr.mean(self._schlick(mirror, edge, ci))
        return dr.clip(shine / dr.maximum(shine + dr.mean(body), 1e-6), 0.0, 0.98)

    def sample(
        self, ctx: Any, si: Any, sample1: Any, sample2: Any, active: Any = True
    ) -> tuple[Any, Any]:
        maps = self._maps(si, active)
        body, mirror, edge, _, alpha, frame = maps
        wi = frame.to_local(si.wi)
        choose = self._choice(body, mirror, edge, mi.Frame3f.cos_theta(wi))
        micro = mi.MicrofacetDistribution(mi.MicrofacetType.GGX, alpha, True)
        half, _ = micro.sample(wi, sample2)
        glossy = sample1 < choose
        wo = dr.select(glossy, mi.reflect(wi, half), mi.warp.square_to_cosine_hemisphere(sample2))
        bs = mi.BSDFSample3f()
        bs.wo = frame.to_world(wo)
        value, bs.pdf = self._lobes(maps, si, bs.wo, active)
        bs.eta = 1.0
        bs.sampled_type = dr.select(
            glossy,
            mi.UInt32(+mi.BSDFFlags.GlossyReflection),
            mi.UInt32(+mi.BSDFFlags.DiffuseReflection),
        )
        bs.sampled_component = dr.select(glossy, mi.UInt32(1), mi.UInt32(0))
        return bs, dr.select(bs.pdf > 1e-9, value / dr.maximum(bs.pdf, 1e-9), 0.0)

    def eval(self, ctx: Any, si: Any, wo: Any, active: Any = True) -> Any:
        return self._lobes(self._maps(si, active), si, wo, active)[0]

    def pdf(self, ctx: Any, si: Any, wo: Any, active: Any = True) -> Any:
        return self._lobes(self._maps(si, active), si, wo, active)[1]

    def eval_pdf(self, ctx: Any, si: Any, wo: Any, active: Any = True) -> tuple[Any, Any]:
        return self._lobes(self._maps(si, active), si, wo, active)

    def traverse(self, callback: Any) -> None:
        pass

    def to_string(self) -> str:
        return "Skin[]"


mi.register_bsdf("studio_skin", Skin)
