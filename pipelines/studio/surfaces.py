"""All things of a scene as one mesh: where a ray meets it, and how that place lies (Mitsuba).

Mitsuba finds the triangle; what is needed of it is looked up here, so that no virtual call and no
number of the scene gets into the compiled code.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from pipelines.studio.buffers import held
from pipelines.studio.geometry.mesh import joined
from pipelines.studio.materials.surface import swollen, vertex_normals
from pipelines.studio.scenery import Item

NUMBERS = 8
"""Numbers of a corner: place (3), normal (3), uv (2)."""


@dataclass(frozen=True)
class Things:
    """`scene` traces; `corners` holds `NUMBERS` of each vertex, `faces` three vertices and the item
    of each triangle, both flat."""

    scene: Any
    corners: Any
    faces: Any


def things(items: Sequence[Item]) -> Things:
    """All items as one mesh, their coarse relief raised."""
    meshes = [swollen(item.mesh, item.surface) for item in items]
    normals = np.concatenate([vertex_normals(mesh) for mesh in meshes])
    whole = joined(meshes)
    corners = np.concatenate([whole.vertices, normals, whole.uv], axis=1).astype(np.float32)
    number = np.repeat(np.arange(len(meshes)), [len(mesh.faces) for mesh in meshes])
    faces = np.concatenate([whole.faces, number[:, None]], axis=1).astype(np.uint32)
    mesh = mi.Mesh("things", len(whole.vertices), len(whole.faces))
    params = mi.traverse(mesh)
    params["vertex_positions"] = corners[:, :3].ravel()
    params["faces"] = faces[:, :3].ravel()
    params.update()
    scene = mi.load_dict({"type": "scene", "things": mesh})
    return Things(scene, held(mi.Float, corners), held(mi.UInt32, faces))


@dataclass(frozen=True)
class Met:
    """Where rays meet the things: `hit`, distance `t`, `point`, the triangle's normal on the ray's
    side, the shading `frame`, `wi` back along the ray in it, `uv`, `item`."""

    hit: Any
    t: Any
    point: Any
    normal: Any
    frame: Any
    wi: Any
    uv: Any
    item: Any


def meet(of: Things, ray: Any, active: Any = True) -> Met:
    """Trace the rays."""
    found = of.scene.ray_intersect_preliminary(ray, active=active)
    hit = active & found.is_valid()
    face = dr.gather(mi.Vector4u, of.faces, found.prim_index, hit)
    near, far = zip(*(_corner(of, face[k], hit) for k in range(3)), strict=True)
    places = [mi.Point3f(n.x, n.y, n.z) for n in near]
    b1, b2 = found.prim_uv.x, found.prim_uv.y
    weights = (1 - b1 - b2, b1, b2)
    point = sum(w * p for w, p in zip(weights, places, strict=True))
    smooth = dr.normalize(
        sum(w * mi.Vector3f(n.w, f.x, f.y) for w, n, f in zip(weights, near, far, strict=True))
    )
    uv = sum(w * mi.Vector2f(f.z, f.w) for w, f in zip(weights, far, strict=True))
    e1, e2 = places[1] - places[0], places[2] - places[0]
    flat = dr.normalize(mi.Vector3f(dr.cross(e1, e2)))
    flat = dr.select(dr.dot(flat, ray.d) > 0, -flat, flat)
    # The tangent along u, as the relief's slopes need it.
    (u1, v1), (u2, v2) = ((f.z - far[0].z, f.w - far[0].w) for f in far[1:])
    turn = u1 * v2 - v1 * u2
    along = mi.Vector3f(v2 * e1 - v1 * e2) * dr.sign(turn)
    along = along - smooth * dr.dot(smooth, along)
    some, _ = mi.coordinate_system(smooth)
    tangent = dr.select(dr.squared_norm(along) > 1e-12, along, some)
    tangent = dr.normalize(tangent)
    frame = mi.Frame3f(tangent, dr.cross(smooth, tangent), smooth)
    return Met(hit, found.t, point, flat, frame, frame.to_local(-ray.d), uv, face.w)


def _corner(of: Things, vertex: Any, active: Any) -> tuple[Any, Any]:
    return tuple(dr.gather(mi.Vector4f, of.corners, vertex * 2 + k, active) for k in (0, 1))


def leaving(met: Met, direction: Any) -> Any:
    """Rays from where others met the things, begun a little off the surface."""
    side = dr.select(dr.dot(met.normal, direction) > 0, met.normal, -met.normal)
    lift = 1e-4 * (1 + dr.maximum(dr.maximum(dr.abs(met.point.x), dr.abs(met.point.y)),
                                  dr.abs(met.point.z)))  # fmt: skip
    return mi.Ray3f(met.point + lift * side, direction)


def hidden(of: Things, met: Met, spot: Any, active: Any) -> tuple[Any, Any]:
    """Direction from where rays met the things to `spot`, and whether something is between."""
    ray = leaving(met, dr.normalize(spot - met.point))
    way = spot - ray.o
    far = dr.norm(way)
    ray.d = mi.Vector3f(way / far)
    ray.maxt = far * (1 - 1e-4)
    return ray.d, of.scene.ray_test(ray, active=active)
