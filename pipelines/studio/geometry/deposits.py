"""Things that stick to a firing end: a bridge across the gap, beads of piston metal."""

import numpy as np

from pipelines.studio.firing_end import FiringEnd
from pipelines.studio.geometry.lathe import lathe, resampled
from pipelines.studio.geometry.mesh import Array, Mesh, chained, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.materials.noise import fractal

SUNK = 0.15
"""mm by which a bridge sinks into either side."""


def bridge(plug: FiringEnd) -> Mesh:
    """Deposit that fills `plug.bridge` of the gap from the centre electrode outwards."""
    rng = np.random.default_rng([plug.seed, 17])
    length = plug.gap * min(plug.bridge, 1.0) + 2 * SUNK
    height = (plug.underside + plug.electrode_top) / 2 if plug.has_side_straps else 0.0
    turn = plug.strap_turns[int(rng.integers(len(plug.strap_turns)))] if plug.strap_turns else 0.0
    if plug.strap_kind == "surface":
        turn, height = float(rng.uniform(0, 360)), min(plug.projection, 0.0)
    across = plug.has_side_straps or plug.strap_kind == "surface"
    thick = (
        rng.uniform(0.45, 0.75) * plug.strap_thickness
        if across
        else max(plug.electrode / 2, 0.5) * rng.uniform(0.75, 1.1)
    )
    t = np.linspace(0, 1, 40)
    ends = np.clip(np.minimum(t, 1 - t) / 0.04, 0, 1) ** 0.5
    waist = thick * ends * (1 - 0.3 * np.sin(np.pi * t))
    body = lathe(np.stack([waist, t * length], 1), 48)
    lumps = np.stack([fractal(body.vertices / 0.45, plug.seed + 60 + k, 3) for k in range(3)], -1)
    inside = np.clip(np.minimum(body.vertices[:, 2], length - body.vertices[:, 2]) / 0.2, 0.2, 1)
    body = Mesh(
        body.vertices + 0.35 * thick * lumps * inside[:, None], body.faces, body.uv, body.grid
    )
    if across:
        pose = (
            rotation("z", turn)
            @ translation(plug.electrode / 2 - SUNK, 0.0, height)
            @ rotation("y", 90.0)
        )
        return transformed(body, pose)
    # Beside the axis, but under the part of the strap that is over the electrode.
    aside = plug.electrode / 2 * rng.uniform(-0.5, 0.5)
    inward = 0.3 * plug.electrode / 2 if plug.strap_kind == "short" else 0.0
    shift = rotation("z", plug.strap_turn) @ translation(inward, float(aside), 0.0)
    return transformed(body, shift @ translation(0.0, 0.0, plug.electrode_top - SUNK))


def beads(plug: FiringEnd, nose: Mesh, electrode: Mesh) -> Mesh:
    """`plug.balls` round metal beads on the nose's end and the centre electrode, as one grid."""
    rng = np.random.default_rng([plug.seed, 18])
    places: list[Array] = []
    for mesh, depth in ((nose, 2.2), (electrode, 1.2)):
        high = mesh.vertices[:, 2] > min(plug.projection, mesh.vertices[:, 2].max()) - depth
        out = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1]) > 0.9 * plug.electrode / 2
        places.append(mesh.vertices[high & out])
    spheres = []
    for _ in range(plug.balls):
        where = places[int(rng.random() < 0.2)]
        size = float(0.05 + 0.22 * rng.random() ** 3)
        t = np.linspace(-np.pi / 2, np.pi / 2, 9)
        arc = np.stack([size * np.cos(t), size * np.sin(t)], 1)
        arc[[0, -1], 0] = 0.0
        ball = lathe(resampled(arc, 0.2), 14)
        spheres.append(transformed(ball, translation(*where[int(rng.integers(len(where)))])))
    return chained(spheres)
