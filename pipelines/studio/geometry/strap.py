"""The J-shaped ground electrode."""

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
) -> Mesh:
    """Strap from the rim (z = 0, at +x) up and over the centre electrode, along the x axis.

    All in mm: `foot_radius` distance of its middle line from the axis, `underside` height of its
    lower face over the rim, `end` x of its free end (negative: past the axis), `bend` radius of the
    middle line, `corner` rounding of the cross-section, `worn` length of the eroded free end.
    """
    height = underside + thickness / 2
    bend = min(bend, height - 0.2, foot_radius - 0.3)
    foot = -0.4  # the weld sinks a little into the shell
    up = np.stack([np.full(14, foot_radius), np.linspace(foot, height - bend, 14)], 1)
    t = np.linspace(0, np.pi / 2, 22)[1:]
    arc = np.stack([foot_radius - bend + bend * np.cos(t), height - bend + bend * np.sin(t)], 1)
    over = np.stack([np.linspace(foot_radius - bend, end, 34)[1:], np.full(33, height)], 1)
    line = np.concatenate([up, arc, over])
    path: Array = np.stack([line[:, 0], np.zeros(len(line)), line[:, 1]], 1)
    side = np.broadcast_to(np.array([0.0, 1.0, 0.0]), path.shape)
    return sweep(path, side, rounded_rectangle(width, thickness, corner), worn)
