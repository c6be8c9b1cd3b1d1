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
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Mesh
from pipelines.studio.materials.surface import Map, Surface, mixed, slopes, swollen, vertex_normals

SKIN_F0 = 0.04


def optics(surface: Surface, matte: bool) -> Map:
    """Maps (rows, columns, 5) of edge, skin, alpha and two slopes."""
    edge, skin, rough, weight = (np.zeros(surface.size, np.float32) for _ in range(4))
    for layer in surface.layers:
        share = layer.share()
        mirrors = layer.matter.kind == "metal"
        gloss = float(mirrors or (layer.matter.alpha > 0 and not matte))
        # Roughness is averaged over what mirrors, metals counting more than skins.
        strength = gloss * (1.0 if mirrors else 0.12)
        edge += share * (gloss - edge)
        skin += share * ((0.0 if mirrors else gloss) - skin)
        rough += share * (strength * layer.matter.alpha - rough)
        weight += share * (strength - weight)
    alpha = np.where(weight > 1e-6, rough / np.maximum(weight, 1e-6), 0.5)
    maps = np.stack([edge, skin, np.clip(alpha, 0.02, 1.0)], -1)
    return np.concatenate([maps, slopes(surface)], -1)


def colours(surface: Surface, bands: npt.NDArray[np.integer], matte: bool) -> Map:
    """Maps (rows, columns, 8) of body and mirror reflectance at four of the sixteen bands."""
    body, mirror = mixed(surface, bands)
    gloss = np.zeros(surface.size, np.float32)
    for layer in surface.layers:
        own = SKIN_F0 if layer.matter.alpha > 0 and not matte else 0.0
        own = 0.0 if layer.matter.kind == "metal" else own
        gloss += layer.share() * (own - gloss)
    return np.concatenate([body, mirror + gloss[..., None]], -1)


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
