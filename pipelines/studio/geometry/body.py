"""The plug's body: shell with thread and bore, seat, hexagon, upper insulator, terminal."""

import numpy as np

from pipelines.studio.firing_end import FiringEnd
from pipelines.studio.geometry.lathe import hexagon, lathe, resampled, thread
from pipelines.studio.geometry.mesh import Array, Mesh

TAPER = np.radians(63.0)
"""Full angle of a taper seat. Source: from memory, unchecked."""


def shell(plug: FiringEnd) -> Mesh:
    """Threaded shell with the bore and the rim, down to just below the seat."""
    r, rim, bore = plug.thread / 2, plug.rim_radius, plug.bore_radius
    bottom = -plug.reach - 1.5
    neck = r - 0.72 * plug.pitch
    step = 0.1 * bore if plug.thread != 14.0 else 0.5
    clearance = [[bore, -2.6], [bore - step, -3.6], [bore - step, -plug.bore_depth]]
    if plug.strap_kind == "surface":
        # The mouth is drawn in to the end of the insulator; it widens behind it.
        clearance = [[bore, -2.0], [bore + 0.4, -2.8], [bore + 0.4, -plug.bore_depth]]
    profile = np.array(
        [
            [0, bottom],
            [neck, bottom],
            [neck, -plug.reach + 1.4],
            [r, -plug.reach + 2.0],
            [r, -1.7],
            [rim, -1.0],
            [rim, 0],
            [bore, 0],
            *clearance,
            [0, -plug.bore_depth],
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
    """Collar and hexagon below the seat; a taper seat is a cone from the thread to the collar."""
    top, flat = -plug.reach - 1.4, plug.hexagon / 2
    corner = flat / np.cos(np.pi / 6)
    collar = max(plug.thread / 2 + 2.5, flat - 0.6)
    seat = [[collar, top - 0.4], [collar - 0.4, top], [0, top]]
    if plug.seat == "taper":
        r = plug.thread / 2
        collar = max(flat, r + 0.9)
        long = (collar - r) / np.tan(TAPER / 2)
        seat = [[collar, -plug.reach - long - 0.2], [r, -plug.reach], [0, -plug.reach]]
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
            *seat,
        ]
    )
    waist = top - 3.6

    def six(radius: Array, z: Array, angle: Array) -> Array:
        return np.where(z < waist, hexagon(plug.hexagon)(radius, z, angle), radius)

    return lathe(resampled(profile, 0.4, 0.25), 240, six)


def upper_insulator(plug: FiringEnd) -> Mesh:
    """Glazed insulator, ribbed or plain, and the end of it."""
    top, r = -plug.reach - 18.0, plug.upper_radius
    wall = [[r, top - 3.0]]
    for k in range(plug.ribs):
        z = top - 6.0 - 2.4 * k
        wall += [[r, z], [r + 0.4, z - 0.6], [r - 0.2, z - 1.2]]
    end = [[r - 1.0, top - 27.0], [0, top - 27.0]]
    profile = np.array([[0, top + 2], [r + 0.5, top + 2], *wall, *end])
    return lathe(resampled(profile[::-1], 0.4, 0.3), 96)


def terminal(plug: FiringEnd) -> Mesh:
    """Terminal nut at the far end, or the bare threaded stud."""
    top = -plug.reach - 45.0
    if plug.terminal == "stud":
        profile = np.array([[0, top - 8], [1.6, top - 8], [2.0, top - 7.5], [2.0, top], [0, top]])
        cut = thread(0.7, top - 8.0, top - 0.5, 0.43, 0.3)
        return lathe(resampled(profile, 0.1), 64, cut)
    profile = np.array(
        [[0, top - 8], [2.6, top - 8], [3.1, top - 6], [2.4, top - 4], [3.1, top], [0, top]]
    )
    return lathe(resampled(profile, 0.3, 0.3), 64)
