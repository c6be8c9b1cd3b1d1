"""The one scattering model of all surfaces, and meshes in the renderer's terms (needs Mitsuba).

All layers of a surface are mixed beforehand into maps of a few numbers, so every part of every plug
runs through the same compiled code (`skin`). What the maps hold, for each texel:

- `body` (4 bands): diffuse reflectance, as measured at 45/0 with the gloss excluded;
- `mirror` (4 bands): mirror reflectance at normal incidence, of metals and of glossy skins;
- `edge`: mirror reflectance at grazing incidence (Schlick's approximation), `skin`: share under a
  transparent skin, whose light loss on the way in and out dims the body away from 45/0;
- `alpha`: GGX roughness; `slope`: the fine relief's slopes along u and v.
"""

from typing import Any

import mitsuba as mi
import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.materials.surface import Surface, slopes, swollen, vertex_normals

SKIN_F0 = 0.04


def optics(surface: Surface, matte: bool) -> Array:
    """Maps (rows, columns, 5) of edge, skin, alpha and two slopes."""
    rows, columns = surface.size
    edge, skin, rough = (np.zeros((rows, columns)) for _ in range(3))
    for layer in surface.layers:
        share = 1.0 if layer.cover is None else layer.cover
        mirrors = layer.matter.kind == "metal"
        gloss = 1.0 if mirrors or layer.matter.alpha > 0 else 0.0
        if matte and not mirrors:
            gloss = 0.0
        edge = edge * (1 - share) + gloss * share
        skin = skin * (1 - share) + (gloss * share if not mirrors else 0.0)
        strength = 1.0 if mirrors else 0.12
        rough = rough * (1 - share) + gloss * strength * layer.matter.alpha * share
    # Roughness is averaged over what mirrors, metals counting more than skins: their light does.
    weight = np.zeros((rows, columns))
    for layer in surface.layers:
        share = 1.0 if layer.cover is None else layer.cover
        mirrors = layer.matter.kind == "metal"
        gloss = float(mirrors or (layer.matter.alpha > 0 and not matte))
        weight = weight * (1 - share) + gloss * (1.0 if mirrors else 0.12) * share
    alpha = np.where(weight > 1e-6, rough / np.maximum(weight, 1e-6), 0.5)
    return np.concatenate(
        [np.stack([edge, skin, np.clip(alpha, 0.02, 1.0)], -1), slopes(surface)], -1
    )


def colours(surface: Surface, bands: Array, matte: bool) -> Array:
    """Maps (rows, columns, 8) of body and mirror reflectance at four of the sixteen bands."""
    rows, columns = surface.size
    out = np.zeros((rows, columns, 8))
    for layer in surface.layers:
        share = 1.0 if layer.cover is None else layer.cover[..., None]
        here = layer.matter.reflectance[bands]
        if layer.matter.kind == "metal":
            values = np.concatenate([np.zeros(4), here])
        else:
            gloss = SKIN_F0 if layer.matter.alpha > 0 and not matte else 0.0
            values = np.concatenate([here, np.full(4, gloss)])
        out = out * (1 - share) + values * share
    return out


def shape(name: str, mesh: Mesh, surface: Surface) -> tuple[Any, Any]:
    """The renderer's mesh, and its scattering model with no maps in it yet."""
    mesh = swollen(mesh, surface)
    skin = mi.load_dict({"type": "studio_skin"})
    props = mi.Properties()
    props["bsdf"] = skin
    out = mi.Mesh(
        name,
        len(mesh.vertices),
        len(mesh.faces),
        props=props,
        has_vertex_normals=True,
        has_vertex_texcoords=True,
    )
    params = mi.traverse(out)
    params["vertex_positions"] = mesh.vertices.astype(np.float32).ravel()
    params["vertex_normals"] = vertex_normals(mesh).astype(np.float32).ravel()
    params["vertex_texcoords"] = mesh.uv.astype(np.float32).ravel()
    params["faces"] = mesh.faces.astype(np.uint32).ravel()
    params.update()
    return out, skin
