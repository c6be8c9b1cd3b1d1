"""The parts of one firing end, as closed meshes in the plug's own frame."""

import numpy as np

from pipelines.studio.firing_end import FiringEnd
from pipelines.studio.geometry.body import gasket, hex_body, shell, terminal, upper_insulator
from pipelines.studio.geometry.damage import damaged_nose, slumped
from pipelines.studio.geometry.deposits import beads, bridge
from pipelines.studio.geometry.lathe import lathe, resampled
from pipelines.studio.geometry.mesh import Array, Mesh, chained, transformed
from pipelines.studio.geometry.pose import rotation
from pipelines.studio.geometry.strap import j_strap


def nose(plug: FiringEnd) -> Mesh:
    """The insulator nose from the bottom of the clearance to its end round the electrode."""
    tip, base, z = plug.nose_tip / 2, plug.nose_base / 2, plug.projection
    hole = max(plug.electrode, plug.electrode_base) / 2 + 0.06
    edge = min(plug.nose_edge * (1 + 0.6 * plug.wear), tip - hole - 0.05)
    profile = np.array(
        [
            [0, -plug.bore_depth - 0.5],
            [base, -plug.bore_depth - 0.5],
            [base, -plug.bore_depth + 1.0],
            [tip + min(0.12, (base - tip) / 2), z - 3.2],
            [tip, z],
            [hole + 0.25, z - 0.05],
            [hole, z - 0.25],
            [hole, z - 0.9],
            [0, z - 0.9],
        ]
    )
    harmed = plug.crack > 0 or plug.chip > 0
    step, sides = (0.05, 480) if harmed else (0.07, 224)
    mesh = lathe(resampled(_rounded_tip(profile, edge), step), sides)
    return damaged_nose(plug, mesh) if harmed else mesh


def _rounded_tip(profile: Array, edge: float) -> Array:
    wall, corner, face = profile[3], profile[4], profile[5]
    down = (wall - corner) / np.hypot(*(wall - corner))
    t = np.linspace(0, np.pi / 2, 9)[:, None]
    start, inward = corner + down * edge, np.array([-1.0, 0.0])
    arc = start + inward * edge * (1 - np.cos(t)) - down * edge * np.sin(t)
    # The flat between rounded edge and hole may be narrow: the chamfer of the hole makes room.
    hole, flat = profile[6, 0], arc[-1, 0] - profile[6, 0]
    chamfer = 0.25 if flat > 0.3 else 0.15 if flat > 0.15 else flat / 2
    keep_face = np.array([[hole + chamfer, face[1]]])
    return np.concatenate([profile[:4], arc, keep_face, profile[6:]])


def centre_electrode(plug: FiringEnd) -> Mesh:
    """Centre electrode, a nickel rod or a fine wire on its stem.

    A worn one is rounded and a little cratered, a molten one slumped.
    """
    r, top, nose_end = plug.electrode / 2, plug.electrode_top, plug.projection
    edge = 0.08 + 0.55 * plug.wear * r
    t = np.linspace(0, np.pi / 2, 8)
    arc = np.stack([r - edge + edge * np.cos(t), top - edge + edge * np.sin(t)], 1)
    # Its foot stands in the nose, deeper where a piece of the nose may be broken off.
    foot = min(nose_end - 1.5, top - 1.0) - 2 * plug.chip
    stem = plug.electrode_base / 2
    if stem > r:
        shoulder = min(nose_end + plug.electrode_shoulder, top - edge - 0.3)
        lower = [[0, foot], [stem, foot], [stem, shoulder - 0.25], [r, shoulder]]
    else:
        neck = nose_end + min(0.35, plug.electrode_out / 3)
        lower = [[0, foot], [r, foot], [r, min(neck, top - edge - 0.02)]]
    profile = np.concatenate([lower, arc, [[0, top - 0.04 - 0.1 * plug.wear]]])
    mesh = lathe(resampled(profile, 0.09), 128)
    if plug.melt <= 0:
        return mesh
    return slumped(mesh, 0.3 * plug.melt * r, 0.8 * r, plug.seed + 70, top - 0.8)


def strap(plug: FiringEnd) -> Mesh:
    """The ground electrodes, turned to their places round the axis: one grid, however many.

    Raises ValueError for a plug that has none.
    """
    turns = plug.strap_turns
    if not turns:
        raise ValueError(f"plug {plug.seed} has no strap: {plug.strap_kind}")
    r = plug.electrode / 2
    straps = []
    for k, turn in enumerate(turns):
        # Only the first of several was bent or burnt.
        tilt = plug.strap_tilt if k == 0 else 0.0
        over = plug.strap_end if plug.has_side_straps else max(plug.strap_end, -r)
        left = plug.strap_left if k == 0 else 1.0
        mesh = j_strap(
            foot_radius=(plug.rim_radius + plug.bore_radius) / 2,
            underside=plug.underside,
            end=plug.strap_end,
            width=plug.strap_width,
            thickness=plug.strap_thickness,
            bend=plug.strap_bend,
            corner=0.18 + 0.35 * plug.wear,
            worn=1.6 if left < 1.0 else _eroded(plug),
            tilt=tilt,
            pivot=over if tilt > 0 else r,
            sideways=plug.strap_sideways if k == 0 else 0.0,
            left=left,
        )
        if plug.melt > 0 and left < 1.0:
            mesh = slumped(mesh, 0.45 * plug.melt, 0.9, plug.seed + 75, 0.6)
        straps.append(transformed(mesh, rotation("z", turn)))
    return straps[0] if len(straps) == 1 else chained(straps)


def _eroded(plug: FiringEnd) -> float:
    """Length of the eroded free end; short of the electrode's far side where the strap is cut."""
    eroded = 0.15 + 1.0 * plug.wear**2
    if plug.strap_kind == "short":
        return min(eroded, max(0.12, 0.6 * (plug.electrode / 2 - plug.strap_end)))
    return eroded


def plug_parts(plug: FiringEnd) -> dict[str, Mesh]:
    """All parts by name, each a closed grid mesh in the plug's frame.

    `gasket` and `strap` are there for plugs that have them, `bridge` and `balls` (metal beads) for
    plugs that something stuck to.
    """
    parts = {"shell": shell(plug)}
    if plug.seat == "gasket":
        parts["gasket"] = gasket(plug)
    parts |= {
        "hex": hex_body(plug),
        "upper": upper_insulator(plug),
        "terminal": terminal(plug),
        "nose": nose(plug),
        "electrode": centre_electrode(plug),
    }
    if plug.strap_turns:
        parts["strap"] = strap(plug)
    if plug.bridge > 0:
        parts["bridge"] = bridge(plug)
    if plug.balls > 0:
        parts["balls"] = beads(plug, parts["nose"], parts["electrode"])
    return parts
