"""Where things come to rest and how the camera is put before them."""

from dataclasses import dataclass, replace
from itertools import pairwise

import cv2
import numpy as np

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.view import View

VIEW_DEGREES = {"end_on": (0.0, 19.0), "oblique": (22.0, 63.0), "side": (67.0, 104.0)}
"""Angle between a plug's axis and the line to the camera, in degrees, for each view."""

WIDE_LENS = 0.3
"""Chance that a photo without a reference is taken through a wide lens (our estimate)."""


def lying_pose(points: Array, balance: float, spin: float) -> Array:
    """Pose (4×4) of a thing lying on z = 0 after being turned about its axis by `spin` degrees.

    `points` (n, 3) in its own frame, z its long axis; `balance` the height of its centre of mass.
    It rests on the edge of its lower hull that lies under that centre; its axis then runs along +y.
    """
    turned = points @ rotation("z", spin)[:3, :3].T
    # Laid down, z becomes y and −y becomes height: the lowest outline is that of the largest y.
    hull = _lower_hull(np.stack([turned[:, 2], -turned[:, 1]], 1))
    edge = next(((a, b) for a, b in pairwise(hull) if a[0] <= balance <= b[0]), (hull[0], hull[-1]))
    run, rise = edge[1] - edge[0]
    # The hull's edge is brought level.
    laid = rotation("x", -90.0 - float(np.degrees(np.arctan2(rise, run)))) @ rotation("z", spin)
    # The first turn sends +z to +y and +y to −z.
    low = (points @ laid[:3, :3].T)[:, 2].min()
    return translation(0, 0, -float(low)) @ laid


def _lower_hull(points: Array) -> Array:
    """Lower convex hull (k, 2) of points (n, 2), from left to right."""
    hull = points[cv2.convexHull(points.astype(np.float32), returnPoints=False)[:, 0]]
    order = hull[np.lexsort((hull[:, 1], hull[:, 0]))]
    keep: list[Array] = []
    for p in order:
        while len(keep) > 1:
            (ax, ay), (bx, by) = keep[-2], keep[-1]
            if (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) > 0:
                break
            keep.pop()
        keep.append(p)
    return np.array(keep)


def outline_of(meshes: list[Array], most: int = 4000) -> Array:
    """A sample of vertices (n, 3) that keeps the extremes well enough to rest on."""
    points = np.concatenate(meshes)
    return points[:: max(1, len(points) // most)]


def towards(axis: Array, degrees: float, rng: np.random.Generator, lowest: float) -> Array:
    """Unit vector `degrees` away from `axis` (3,), random about it, at least `lowest` above the
    horizon as a sine; the highest of the tries when none is."""
    some = np.array([0.0, 0.0, 1.0]) if abs(axis[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    u = np.cross(axis, some)
    u /= np.linalg.norm(u)
    v, t = np.cross(axis, u), np.radians(degrees)
    best = axis
    for k in range(40):
        a = rng.uniform(0, 2 * np.pi)
        way = np.cos(t) * axis + np.sin(t) * (np.cos(a) * u + np.sin(a) * v)
        if way[2] >= lowest:
            return np.asarray(way)
        if k == 0 or way[2] > best[2]:
            best = way
    return np.asarray(best)


def axis_towards(way: Array, degrees: float, rng: np.random.Generator) -> Array:
    """Pose turning +z (a plug's axis) to stand `degrees` from `way`, random about it (4×4)."""
    axis = towards(way, degrees, rng, -1.0)
    some = np.array([0.0, 0.0, 1.0]) if abs(axis[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    u = np.cross(some, axis)
    u /= np.linalg.norm(u)
    out = np.eye(4)
    out[:3, :3] = np.stack([u, np.cross(axis, u), axis], 1)
    return out @ rotation("z", float(rng.uniform(0, 360)))


@dataclass(frozen=True)
class Aim:
    """What the camera looks at: `point` (3,), `way` (3,) unit vector to the camera, and how many
    `mm` of the subject come to `share` of the picture's shorter side."""

    point: Array
    way: Array
    mm: float
    share: float


def look(aim: Aim, size: tuple[int, int], rng: np.random.Generator, focus: Array) -> View:
    """A camera that shows what `aim` asks for, its subject off the middle by chance."""
    width, height = size
    px_per_mm = aim.share * min(size) / aim.mm
    field = width / px_per_mm
    # A phone's main lens sees about 70 degrees; closer than 8 cm it does not focus.
    distance = max(float(np.exp(rng.uniform(np.log(85), np.log(330)))), 0.72 * field)
    fov = float(np.degrees(2 * np.arctan(field / 2 / distance)))
    forward = -aim.way
    roll = float(rng.normal(0, 7) + rng.choice([0, 90, -90, 180], p=[0.7, 0.12, 0.12, 0.06]))
    if abs(forward[2]) > 0.94:
        roll = float(rng.uniform(0, 360))
    some = np.array([0.0, 0.0, 1.0]) if abs(forward[2]) < 0.98 else np.array([0.0, 1.0, 0.0])
    right = np.cross(forward, some)
    right /= np.linalg.norm(right)
    over = np.cross(right, forward)
    turn = np.radians(roll)
    up = np.cos(turn) * over + np.sin(turn) * right
    room = max(0.0, 0.5 - 0.6 * aim.share) * 0.7 * min(size) / px_per_mm
    off = rng.uniform(-room, room, 2)
    target = aim.point + off[0] * right + off[1] * over
    origin = target + distance * aim.way
    # The lens must stay above the bench even when it looks along it.
    origin[2] = max(origin[2], 6.0)
    return View(
        three(origin),
        three(target),
        three(up),
        fov,
        width,
        height,
        float(rng.uniform(0.4, 1.6)),
        three(focus),
    )


def opened(view: View, rng: np.random.Generator) -> View:
    """The view, now and then through the wide lens of a camera instead of a phone's.

    Its radius goes with the distance, so that what lies one plug's width behind the nose is out
    of focus; a phone's, 0.4 to 1.6 mm, blurs only as it comes close. Source: our estimate.
    """
    if rng.random() > WIDE_LENS:
        return view
    distance = float(np.linalg.norm(np.subtract(view.focus, view.origin)))
    return replace(view, aperture=max(view.aperture, distance * float(rng.uniform(0.015, 0.045))))


def three(v: Array) -> tuple[float, float, float]:
    """A vector as plain numbers."""
    return float(v[0]), float(v[1]), float(v[2])
