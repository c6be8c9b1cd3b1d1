"""What lies on a part: matters in layers, each with a map of how much it covers."""

from dataclasses import dataclass

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh, same_place
from pipelines.studio.materials.spectra import WAVELENGTHS, Matter


@dataclass(frozen=True)
class Layer:
    """A matter and its cover (rows, columns) in 0..1 over the part's uv; None: everywhere."""

    matter: Matter
    cover: Array | None = None


@dataclass(frozen=True)
class Surface:
    """Layers from the bottom up and a relief.

    `height` (rows, columns) in mm is the fine relief that the renderer shades, `swell` the same for
    coarse relief that moves the mesh itself; either may be None. `points` (rows, columns, 3), the
    texels in space, must be given with `height`: its slopes are taken along them.
    """

    layers: tuple[Layer, ...]
    height: Array | None = None
    swell: Array | None = None
    points: Array | None = None

    @property
    def size(self) -> tuple[int, int]:
        """Rows and columns of its maps; 2×2 when all of it is uniform."""
        maps = [self.height, *(layer.cover for layer in self.layers)]
        for map_ in maps:
            if map_ is not None:
                return map_.shape[0], map_.shape[1]
        return 2, 2


def texel_points(mesh: Mesh, rows: int, columns: int) -> Array:
    """Points in space (rows, columns, 3) of the texels of a grid mesh, in mm.

    Raises ValueError for a mesh that is not a grid.
    """
    if mesh.grid is None:
        raise ValueError("only a grid mesh has texels; this one was joined from several")
    n, m = mesh.grid
    grid = mesh.vertices.reshape(n, m, 3)
    v = (np.arange(rows) + 0.5) / rows * (n - 1)
    u = (np.arange(columns) + 0.5) / columns * (m - 1)
    i, j = np.minimum(v.astype(int), n - 2), np.minimum(u.astype(int), m - 2)
    s, t = (v - i)[:, None, None], (u - j)[None, :, None]
    top = grid[i][:, j] * (1 - t) + grid[i][:, j + 1] * t
    bottom = grid[i + 1][:, j] * (1 - t) + grid[i + 1][:, j + 1] * t
    return np.asarray(top * (1 - s) + bottom * s)


def slopes(surface: Surface) -> Array:
    """Slopes (rows, columns, 2) of the fine relief along u and v, mm by mm; 0 without relief.

    Raises ValueError for a relief whose points in space are not known.
    """
    if surface.height is None:
        return np.zeros((*surface.size, 2))
    if surface.points is None:
        raise ValueError("a surface with a height map needs the points in space of its texels")
    out = []
    for axis in (1, 0):
        run = np.linalg.norm(np.gradient(surface.points, axis=axis), axis=-1)
        out.append(np.gradient(surface.height, axis=axis) / np.maximum(run, 1e-3))
    return np.clip(np.stack(out, -1), -1.5, 1.5)


def sampled(texture: Array, uv: Array) -> Array:
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


def reflectance(surface: Surface, uv: Array) -> Array:
    """Reflectance (n, 16) of the mixed layers at uv (n, 2), gloss excluded."""
    out = np.zeros((len(uv), len(WAVELENGTHS)))
    for layer in surface.layers:
        share = 1.0 if layer.cover is None else sampled(layer.cover, uv)[:, None]
        out = out * (1 - share) + layer.matter.reflectance * share
    return out


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
    total = np.zeros((same.max() + 1, 3))
    for k in range(3):
        np.add.at(total, same[mesh.faces[:, k]], face)
    normals = total[same]
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    return np.asarray(np.where(length > 0, normals / np.maximum(length, 1e-300), [0.0, 0.0, 1.0]))
