"""Ground electrodes: one strap over the centre electrode, or several that point at its side."""

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.geometry.sweep import rounded_rectangle, sweep


def j_strap(
    foot_radius: float,
    underside: float,
    end: float,
    width: float,
    thickness: float,
    bend: float,
    corner: float,
    worn: float,
    tilt: float = 0.0,
    pivot: float = 0.0,
    sideways: float = 0.0,
    left: float = 1.0,
) -> Mesh:
    """Strap from the rim (z = 0, at +x) up and over the centre electrode, along the x axis.

    All in mm: `foot_radius` distance of its middle line from the axis, `underside` height of its
    lower face over the rim, `end` x of its free end (negative: past the axis), `bend` radius of the
    middle line, `corner` rounding of the cross-section, `worn` length of the eroded free end.
    `tilt` pushes the free end down by that many degrees round x = `pivot`, where the underside
    keeps its height; `sideways` turns the arm by that many degrees; `left` is the share of its
    length, from the foot, that is there.
    """
    line = _line(foot_radius, underside, end, thickness, bend, np.radians(tilt), pivot)
    if left < 1.0:
        run = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        line = line[: max(5, int(np.searchsorted(run, left * run[-1])))]
    aside = np.tan(np.radians(sideways)) * (foot_radius - line[:, 0])
    path: Array = np.stack([line[:, 0], aside, line[:, 1]], 1)
    side = np.broadcast_to(np.array([0.0, 1.0, 0.0]), path.shape)
    return sweep(path, side, rounded_rectangle(width, thickness, corner), worn)


def _line(
    foot_radius: float,
    underside: float,
    end: float,
    thickness: float,
    bend: float,
    tilt: float,
    pivot: float,
) -> Array:
    """Middle line (n, 2) in x and z: up, round the bend, over."""
    slope = np.tan(tilt)
    middle = underside + thickness / 2 / np.cos(tilt)

    corner = float(middle + slope * (foot_radius - pivot))
    # The bend's tangent points lie `cut` from the corner: short of the foot and of the free end.
    cut_per_bend = np.tan((np.pi / 2 + tilt) / 2)
    room = (foot_radius - max(end, 0.0) - 0.3) / np.cos(tilt)
    cut = min(bend * cut_per_bend, corner - 0.2, room)
    bend = cut / cut_per_bend
    foot = -0.4  # the weld sinks a little into the shell
    up = np.stack([np.full(14, foot_radius), np.linspace(foot, corner - cut, 14)], 1)
    t = np.linspace(0, np.pi / 2 + tilt, 22)[1:]
    arc = np.stack([foot_radius - bend + bend * np.cos(t), corner - cut + bend * np.sin(t)], 1)
    along = np.linspace(arc[-1, 0], end, 34)[1:]
    over = np.stack([along, middle + slope * (along - pivot)], 1)
    return np.concatenate([up, arc, over])
