"""What lies on a part: matters in layers, each with a map of how far or how thick it lies."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array, Mesh, same_place
from pipelines.studio.materials.films import looked_up, over
from pipelines.studio.materials.noise import Field
from pipelines.studio.materials.spectra import WAVELENGTHS, Matter

Map = npt.NDArray[np.floating]

WET_ALPHA = 0.14
"""Bodies with a smoother skin than this count as wet or glazed."""

_GREEN = float(np.interp(550.0, WAVELENGTHS, np.arange(len(WAVELENGTHS))))


@dataclass(frozen=True)
class Layer:
    """A matter on a part.

    `cover` (rows, columns) is the share of the area that it lies on, 0..1 over the part's uv; None:
    everywhere. `film` (rows, columns) is how thick it lies there, by Kubelka and Munk, in
    units of `films.PASSES`; None: so thick that nothing shines through.
    """

    matter: Matter
    cover: Map | None = None
    film: Map | None = None

    def share(self) -> Map | float:
        """The share of the area that its surface takes over, by which it is rough or smooth.

        A matte film takes over from a tenth of its hiding thickness, a liquid or glassy one as
        soon as it is there (our estimate).
        """
        cover = 1.0 if self.cover is None else self.cover
        if self.film is None:
            return cover
        fall = 60.0 if self.wet else 10.0
        return np.asarray(cover * (1 - np.exp(-fall * self.film)), np.float32)

    @property
    def wet(self) -> bool:
        """Whether it lies there as a wet or glazed skin."""
        return self.matter.kind == "body" and 0 < self.matter.alpha < WET_ALPHA


@dataclass(frozen=True)
class Surface:
    """Layers from the bottom up and a relief.

    `height` (rows, columns) in mm is the fine relief that the renderer shades, `swell` the same for
    coarse relief that moves the mesh itself; either may be None. `points` (rows, columns, 3), the
    texels in space, must be given with `height`: its slopes are taken along them.
    """

    layers: tuple[Layer, ...]
    height: Map | None = None
    swell: Map | None = None
    points: Map | None = None

    @property
    def size(self) -> tuple[int, int]:
        """Rows and columns of its maps; 2×2 when all of it is uniform."""
        maps = [self.height, *(m for layer in self.layers for m in (layer.cover, layer.film))]
        for map_ in maps:
            if map_ is not None:
                return map_.shape[0], map_.shape[1]
        return 2, 2


_detail: ContextVar[float] = ContextVar("detail", default=1.0)


@contextmanager
def detail(scale: float) -> Iterator[None]:
    """Inside, maps have `scale` times the texels along each side: below 1 for small pictures."""
    token = _detail.set(scale)
    try:
        yield
    finally:
        _detail.reset(token)


def texel_points(mesh: Mesh, rows: int, columns: int) -> Map:
    """Points in space (rows, columns, 3) of the texels of a grid mesh, in mm.

    Inside `detail` there are fewer or more than asked for, but at least 8 along a side.

    Raises ValueError for a mesh that is not a grid.
    """
    if mesh.grid is None:
        raise ValueError("only a grid mesh has texels; this one was joined from several")
    n, m = mesh.grid
    scale = _detail.get()
    if scale != 1.0:
        rows, columns = (max(8, round(k * scale)) for k in (rows, columns))
    grid = mesh.vertices.reshape(n, m, 3).astype(np.float32)
    v = (np.arange(rows) + 0.5) / rows * (n - 1)
    u = (np.arange(columns) + 0.5) / columns * (m - 1)
    i, j = np.minimum(v.astype(int), n - 2), np.minimum(u.astype(int), m - 2)
    s, t = (np.float32(x) for x in ((v - i)[:, None, None], (u - j)[None, :, None]))
    down = grid[i] * (1 - s) + grid[i + 1] * s
    return np.asarray(down[:, j] * (1 - t) + down[:, j + 1] * t)


def slopes(surface: Surface) -> Map:
    """Slopes (rows, columns, 2) of the fine relief along u and v, mm by mm; 0 without relief.

    Raises ValueError for a relief whose points in space are not known.
    """
    if surface.height is None:
        return np.zeros((*surface.size, 2), np.float32)
    if surface.points is None:
        raise ValueError("a surface with a height map needs the points in space of its texels")
    out = []
    for axis in (1, 0):
        step = np.gradient(surface.points, axis=axis)
        run = np.sqrt(np.einsum("ijk,ijk->ij", step, step))
        out.append(np.gradient(surface.height, axis=axis) / np.maximum(run, 1e-3))
    return np.asarray(np.clip(np.stack(out, -1), -1.5, 1.5))


def sampled(texture: Map, uv: Array) -> Array:
    """Bilinear values (n,) of a texture (rows, columns) at uv (n, 2); columns wrap round."""
    rows, columns = texture.shape
    y = np.clip(uv[:, 1] * rows - 0.5, 0, rows - 1)
    x = uv[:, 0] * columns - 0.5
    i, j = np.minimum(y.astype(int), rows - 2), np.floor(x).astype(int)
    s, t = y - i, x - j
    j0, j1 = j % columns, (j + 1) % columns
    return np.asarray(
        (texture[i, j0] * (1 - t) + texture[i, j1] * t) * (1 - s)
        + (texture[i + 1, j0] * (1 - t) + texture[i + 1, j1] * t) * s
    )


def mixed(surface: Surface, bands: npt.NDArray[np.integer]) -> tuple[Field, Field]:
    """Body and metal reflectance (rows, columns, bands) of all layers, gloss excluded.

    `bands` are numbers of `WAVELENGTHS`. Covers share out the area, films filter what is below.
    """
    new_body: Map | float
    new_metal: Map | float
    shape = (*surface.size, len(bands))
    body, metal = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    for layer in surface.layers:
        own = layer.matter.reflectance[bands].astype(np.float32)
        cover = None if layer.cover is None else np.asarray(layer.cover, np.float32)[..., None]
        if layer.film is not None:
            green = float(np.interp(_GREEN, np.arange(len(WAVELENGTHS)), layer.matter.reflectance))
            film = np.asarray(layer.film, np.float32)
            reflects, passes = looked_up(layer.matter.reflectance[bands], green, film)
            new_body, new_metal = over(reflects, passes, body), metal * passes**2
        elif layer.matter.kind == "metal":
            new_body, new_metal = 0.0, own
        else:
            new_body, new_metal = own, 0.0
        if cover is None:
            body[...], metal[...] = new_body, new_metal
        else:
            body += cover * (new_body - body)
            metal += cover * (new_metal - metal)
    return body, metal


def reflectance(surface: Surface, uv: Array) -> Array:
    """Reflectance (n, 16) of the mixed layers at uv (n, 2), gloss excluded."""
    corners, weights = _corners(surface.size, uv)
    body, metal = mixed(surface, np.arange(len(WAVELENGTHS)))
    total = (body + metal).reshape(-1, len(WAVELENGTHS))
    out = np.zeros((len(uv), len(WAVELENGTHS)))
    for corner, weight in zip(corners, weights, strict=True):
        out += weight[:, None] * total[corner]
    return out


def mean_reflectance(surface: Surface, uv: Array) -> Array:
    """Mean (16,) of `reflectance` over uv (n, 2), for many points at little cost."""
    body, metal = mixed(surface, np.arange(len(WAVELENGTHS)))
    total = (body + metal).reshape(-1, len(WAVELENGTHS))
    return np.asarray(_visits(surface.size, uv) @ total)


def wet_share(surface: Surface, uv: Array) -> float:
    """Share of the points uv (n, 2) that lie under a wet or glazed skin."""
    wet = np.zeros(surface.size)
    for layer in surface.layers:
        wet = wet + layer.share() * (float(layer.wet) - wet)
    return float(_visits(surface.size, uv) @ wet.ravel())


def _corners(size: tuple[int, int], uv: Array) -> tuple[list[npt.NDArray[np.intp]], list[Array]]:
    """Four texels (n,) round each point, and their bilinear weights; columns wrap round."""
    rows, columns = size
    y = np.clip(uv[:, 1] * rows - 0.5, 0, rows - 1)
    x = uv[:, 0] * columns - 0.5
    i, j = np.minimum(y.astype(int), rows - 2), np.floor(x).astype(int)
    s, t = y - i, x - j
    texels, weights = [], []
    for di, ws in ((0, 1 - s), (1, s)):
        for dj, wt in ((0, 1 - t), (1, t)):
            texels.append((i + di) * columns + (j + dj) % columns)
            weights.append(ws * wt)
    return texels, weights


def _visits(size: tuple[int, int], uv: Array) -> Array:
    """Mean weight (rows·columns,) of each texel over the points; sums to 1."""
    corners, weights = _corners(size, uv)
    total = np.zeros(size[0] * size[1])
    for corner, weight in zip(corners, weights, strict=True):
        total += np.bincount(corner, weight, len(total))
    return total / len(uv)


def swollen(mesh: Mesh, surface: Surface) -> Mesh:
    """The mesh with the surface's coarse relief raised along its normals."""
    if surface.swell is None:
        return mesh
    raised = mesh.vertices + vertex_normals(mesh) * sampled(surface.swell, mesh.uv)[:, None]
    return Mesh(raised, mesh.faces, mesh.uv, mesh.grid)


def vertex_normals(mesh: Mesh) -> Array:
    """Unit normals (n, 3), area-weighted, the same on both sides of a texture seam."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    face = np.cross(b - a, c - a)
    same = same_place(mesh.vertices)
    corners = same[mesh.faces].T.ravel()
    many = int(same.max()) + 1
    total = np.stack([np.bincount(corners, np.tile(face[:, k], 3), many) for k in range(3)], 1)
    length = np.linalg.norm(total, axis=1, keepdims=True)
    unit = np.where(length > 0, total / np.maximum(length, 1e-300), [0.0, 0.0, 1.0])
    return np.asarray(unit[same])
