"""The parts of one firing end, as closed meshes in the plug's own frame."""

import numpy as np

from pipelines.studio.geometry.lathe import hexagon, lathe, resampled, thread
from pipelines.studio.geometry.mesh import Array, Mesh, transformed
from pipelines.studio.geometry.pose import rotation
from pipelines.studio.geometry.strap import j_strap
from pipelines.studio.plug import FiringEnd

BORE_DEPTH = 11.0


def shell(plug: FiringEnd) -> Mesh:
    """Threaded shell with the bore and the rim, down to just below the seat."""
    r, rim, bore = plug.thread / 2, plug.rim_radius, plug.bore_radius
    bottom = -plug.reach - 1.5
    profile = np.array(
        [
            [0, bottom],
            [r - 0.9, bottom],
            [r - 0.9, -plug.reach + 1.4],
            [r, -plug.reach + 2.0],
            [r, -1.7],
            [rim, -1.0],
            [rim, 0],
            [bore, 0],
            [bore, -2.6],
            [bore - 0.5, -3.6],
            [bore - 0.5, -BORE_DEPTH],
            [0, -BORE_DEPTH],
        ],
        dtype=float,
    )
    corner = 0.12 + 0.12 * plug.wear
    cut = thread(plug.pitch, -plug.reach + 1.7, -1.15, 0.61 * plug.pitch, 0.5)
    return lathe(resampled(profile, 0.09, corner), 256, cut)


def gasket(plug: FiringEnd) -> Mesh:
    """Folded crush washer under the seat."""
    r, top = plug.thread / 2 + 2.6, -plug.reach
    profile = np.array(
        [
            [r - 3.0, top - 1.5],
            [r - 0.3, top - 1.5],
            [r, top - 0.75],
            [r - 0.3, top],
            [r - 3.0, top],
            [r - 3.0, top - 1.5],
        ]
    )
    return lathe(resampled(profile, 0.3, 0.4), 96)


def hex_body(plug: FiringEnd) -> Mesh:
    """Collar and hexagon below the seat."""
    top, flat = -plug.reach - 1.4, plug.hexagon / 2
    corner = flat / np.cos(np.pi / 6)
    collar = max(plug.thread / 2 + 2.5, flat - 0.6)
    profile = np.array(
        [
            [0, top - 17.0],
            [flat - 1.8, top - 17.0],
            [flat - 1.5, top - 14.0],
            [flat - 0.8, top - 13.8],
            [corner, top - 12.9],
            [corner, top - 4.6],
            [flat - 0.4, top - 3.7],
            [collar - 0.3, top - 3.5],
            [collar, top - 3.2],
            [collar, top - 0.4],
            [collar - 0.4, top],
            [0, top],
        ]
    )
    waist = top - 3.6

    def six(radius: Array, z: Array, angle: Array) -> Array:
        return np.where(z < waist, hexagon(plug.hexagon)(radius, z, angle), radius)

    return lathe(resampled(profile, 0.4, 0.25), 240, six)


def upper_insulator(plug: FiringEnd) -> Mesh:
    """Glazed insulator with ribs, and the end of it."""
    top = -plug.reach - 18.0
    wall = [[4.9, top - 3.0]]
    for k in range(5):
        z = top - 6.0 - 2.4 * k
        wall += [[4.9, z], [5.3, z - 0.6], [4.7, z - 1.2]]
    profile = np.array([[0, top + 2], [5.4, top + 2], *wall, [3.9, top - 27.0], [0, top - 27.0]])
    return lathe(resampled(profile[::-1], 0.4, 0.3), 96)


def terminal(plug: FiringEnd) -> Mesh:
    """Terminal nut at the far end."""
    top = -plug.reach - 45.0
    profile = np.array(
        [[0, top - 8], [2.6, top - 8], [3.1, top - 6], [2.4, top - 4], [3.1, top], [0, top]]
    )
    return lathe(resampled(profile, 0.3, 0.3), 64)


def nose(plug: FiringEnd) -> Mesh:
    """The insulator nose from the bottom of the clearance to its flat end round the electrode."""
    tip, base, z = plug.nose_tip / 2, plug.nose_base / 2, plug.projection
    hole = plug.electrode / 2 + 0.06
    edge = plug.nose_edge * (1 + 0.6 * plug.wear)
    profile = np.array(
        [
            [0, -BORE_DEPTH - 0.5],
            [base, -BORE_DEPTH - 0.5],
            [base, -BORE_DEPTH + 1.0],
            [tip + 0.12, z - 3.2],
            [tip, z],
            [hole + 0.25, z - 0.05],
            [hole, z - 0.25],
            [hole, z - 0.9],
            [0, z - 0.9],
        ]
    )
    return lathe(resampled(_rounded_tip(profile, edge), 0.07), 224)


def _rounded_tip(profile: Array, edge: float) -> Array:
    wall, corner, face = profile[3], profile[4], profile[5]
    down = (wall - corner) / np.hypot(*(wall - corner))
    t = np.linspace(0, np.pi / 2, 9)[:, None]
    start, inward = corner + down * edge, np.array([-1.0, 0.0])
    arc = start + inward * edge * (1 - np.cos(t)) - down * edge * np.sin(t)
    keep_face = face if face[0] < arc[-1, 0] - 0.05 else face - [0.1, 0]
    return np.concatenate([profile[:4], arc, keep_face[None], profile[6:]])


def centre_electrode(plug: FiringEnd) -> Mesh:
    """Nickel centre electrode; a worn one is rounded and a little cratered."""
    r, top = plug.electrode / 2, plug.projection + plug.electrode_out
    edge = 0.08 + 0.55 * plug.wear * r
    t = np.linspace(0, np.pi / 2, 8)
    arc = np.stack([r - edge + edge * np.cos(t), top - edge + edge * np.sin(t)], 1)
    neck = min(0.35, plug.electrode_out / 3)
    profile = np.concatenate(
        [
            [[0, plug.projection - 1.5], [r, plug.projection - 1.5]],
            [[r, plug.projection + neck]],
            arc,
            [[0, top - 0.04 - 0.1 * plug.wear]],
        ]
    )
    return lathe(resampled(profile, 0.09), 128)


def strap(plug: FiringEnd) -> Mesh:
    """The ground electrode, turned to its place round the axis."""
    mesh = j_strap(
        foot_radius=(plug.rim_radius + plug.bore_radius) / 2,
        underside=plug.underside,
        end=-plug.strap_past,
        width=plug.strap_width,
        thickness=plug.strap_thickness,
        bend=plug.strap_bend,
        corner=0.18 + 0.35 * plug.wear,
        worn=0.15 + 1.0 * plug.wear**2,
    )
    return transformed(mesh, rotation("z", plug.strap_turn))


def plug_parts(plug: FiringEnd) -> dict[str, Mesh]:
    """All parts by name, each a closed mesh in the plug's frame."""
    return {
        "shell": shell(plug),
        "gasket": gasket(plug),
        "hex": hex_body(plug),
        "upper": upper_insulator(plug),
        "terminal": terminal(plug),
        "nose": nose(plug),
        "electrode": centre_electrode(plug),
        "strap": strap(plug),
    }
