"""The maps of all things in a scene, one after the other, as the scattering model reads them.

All layers of a surface are mixed beforehand into a few numbers for each texel, so that everything
in every scene runs through the same compiled code (`skin`):

- `body` (16 bands): diffuse reflectance, as measured at 45/0 with the gloss excluded;
- `mirror` (16 bands): mirror reflectance at normal incidence, of metals and of glossy skins;
- `edge`: mirror reflectance at grazing incidence (Schlick's approximation), `skin`: share under a
  transparent skin, whose light loss on the way in and out dims the body away from 45/0;
- `alpha`: GGX roughness; two slopes of the fine relief, along u and v.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipelines.studio.materials.spectra import WAVELENGTHS
from pipelines.studio.materials.surface import Map, Surface, mixed, slopes

SKIN_F0 = 0.04
OPTICS = 8
"""Numbers of a texel's `optics`: the five above, filled up to a width that is read at once."""


@dataclass(frozen=True)
class Atlas:
    """Maps of a scene's items, texel after texel in rows, item after item.

    `body` and `mirror` (texels, 16), `optics` (texels, 8), float32; `first` texel, `rows` and
    `columns` of each item, (items,) uint32.
    """

    body: npt.NDArray[np.float32]
    mirror: npt.NDArray[np.float32]
    optics: npt.NDArray[np.float32]
    first: npt.NDArray[np.uint32]
    rows: npt.NDArray[np.uint32]
    columns: npt.NDArray[np.uint32]


def atlas(surfaces: Sequence[Surface]) -> Atlas:
    """The atlas of the surfaces, in their order."""
    sizes = np.array([s.size for s in surfaces], np.uint32).reshape(-1, 2)
    ends = np.cumsum(sizes.prod(axis=1))
    total, bands = int(ends[-1]), len(WAVELENGTHS)
    body, mirror = (np.empty((total, bands), np.float32) for _ in range(2))
    optical = np.zeros((total, OPTICS), np.float32)
    first = (ends - sizes.prod(axis=1)).astype(np.uint32)
    for start, end, surface in zip(first, ends, surfaces, strict=True):
        here = slice(int(start), int(end))
        colour, metal = mixed(surface, np.arange(bands))
        body[here] = colour.reshape(-1, bands)
        mirror[here] = (metal + _gloss(surface)[..., None]).reshape(-1, bands)
        optical[here, :5] = optics(surface).reshape(-1, 5)
    return Atlas(body, mirror, optical, first, sizes[:, 0].copy(), sizes[:, 1].copy())


def optics(surface: Surface) -> Map:
    """Maps (rows, columns, 5) of edge, skin, alpha and two slopes."""
    edge, skin, rough, weight = (np.zeros(surface.size, np.float32) for _ in range(4))
    for layer in surface.layers:
        share = layer.share()
        mirrors = layer.matter.kind == "metal"
        gloss = float(mirrors or layer.matter.alpha > 0)
        # Roughness is averaged over what mirrors, metals counting more than skins.
        strength = gloss * (1.0 if mirrors else 0.12)
        edge += share * (gloss - edge)
        skin += share * ((0.0 if mirrors else gloss) - skin)
        rough += share * (strength * layer.matter.alpha - rough)
        weight += share * (strength - weight)
    alpha = np.where(weight > 1e-6, rough / np.maximum(weight, 1e-6), 0.5)
    maps = np.stack([edge, skin, np.clip(alpha, 0.02, 1.0)], -1)
    return np.concatenate([maps, slopes(surface)], -1)


def _gloss(surface: Surface) -> npt.NDArray[np.float32]:
    """Mirror reflectance (rows, columns) at normal incidence of the skins that are no metal."""
    gloss = np.zeros(surface.size, np.float32)
    for layer in surface.layers:
        own = SKIN_F0 if layer.matter.alpha > 0 and layer.matter.kind != "metal" else 0.0
        gloss += layer.share() * (own - gloss)
    return gloss
