"""What holds a plug: a hand, the jaws of pliers, a socket. In the plug's own frame."""

from collections.abc import Callable

import numpy as np

from pipelines.studio.geometry.body import hex_body, upper_insulator
from pipelines.studio.geometry.mesh import Array, chained, joined, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.plug import FiringEnd
from pipelines.studio.staging.gloves import GLOVES, Wear, thickness
from pipelines.studio.staging.grip_tools import Made, pliers, socket
from pipelines.studio.staging.hand import digits, hand_meshes, nail

__all__ = ["GLOVES", "HOLDERS", "Made", "fingers", "lifted"]

OPEN_CONE = 16.0
"""Degrees behind the plane of the nose's end that a hand leaves free: the nose is seen from any
view of `poses.VIEW_DEGREES`."""


def fingers(plug: FiringEnd, rng: np.random.Generator, glove: str | None = None) -> Made:
    """A hand that pinches the hexagon or the upper insulator between thumb, index and middle
    finger; `glove` one of `GLOVES`, drawn when None.

    Raises ValueError for an unknown glove.
    """
    worn = str(rng.choice(GLOVES, p=_SHARES)) if glove is None else glove
    if worn not in GLOVES:
        raise ValueError(f"no glove called {worn!r}; known: {', '.join(GLOVES)}")
    at_hex = rng.random() < 0.55
    grip = -plug.reach - (float(rng.uniform(9, 15)) if at_hex else float(rng.uniform(27, 36)))
    fat = thickness(worn) * float(rng.uniform(0.92, 1.06))
    wear = Wear(worn, rng)
    lean, turn = float(rng.uniform(20, 88)), float(rng.uniform(0, 360))
    body = joined([hex_body(plug), upper_insulator(plug)]).vertices
    below = grip - 17.0 * np.sin(np.radians(lean))
    row = digits(_half(body, grip), _half(body, below), fat, rng)
    tubes, bones = hand_meshes(row, fat, wear.seed)
    palm = chained(bones)
    free = np.tan(np.radians(OPEN_CONE))
    for tilt in np.arange(lean, -1.0, -4.0):
        pose = translation(0, 0, grip) @ rotation("x", 90.0 - tilt)
        every = transformed(joined([*tubes, palm]), pose).vertices
        # As far back as it must be for the nose to be seen past it.
        if np.all(every[:, 2] < -1.0 - free * np.hypot(every[:, 0], every[:, 1])):
            break
    pose = rotation("z", turn) @ pose
    names = ("thumb", "index", "middle", "ring", "little")
    made: Made = [
        (f"finger_{n}", transformed(mesh, pose), wear.finger(mesh, digit))
        for n, mesh, digit in zip(names, tubes, row, strict=True)
    ]
    if worn == "skin":
        for n, digit in zip(names[:3], row, strict=False):
            plate = nail(digit, fat)
            made.append((f"nail_{n}", transformed(plate, pose), wear.nail(plate)))
    made.append(("palm", transformed(palm, pose), wear.palm(palm)))
    return made


_SHARES = (0.4, 0.13, 0.15, 0.07, 0.04, 0.1, 0.11)


def _half(body: Array, z: float) -> float:
    """How far the plug reaches to each side of its axis about a height, in mm."""
    near = np.abs(body[:, 2] - z) < 4.0
    return float(np.hypot(body[near, 0], body[near, 1]).max()) if near.any() else 5.0


def lifted(made: Made, pose: Array) -> Array:
    """The pose (4×4) turned about the plug's own axis so that the holder's lowest point is as high
    as can be: an arm then comes from above or the side, not out of the bench."""
    points: Array = joined([mesh for _, mesh, _ in made]).vertices[::29]
    turns = [rotation("z", k * 15.0) for k in range(24)]
    low = [float((points @ (pose @ t)[:3, :3].T)[:, 2].min()) for t in turns]
    return np.asarray(pose @ turns[int(np.argmax(low))])


HOLDERS: dict[str, Callable[..., Made]] = {
    "fingers": fingers,
    "pliers": pliers,
    "socket": socket,
}
"""Called as `HOLDERS[kind](plug, rng, glove)`, the glove left out or None to have it drawn."""
