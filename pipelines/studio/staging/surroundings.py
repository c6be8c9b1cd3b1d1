"""What stands about without being asked for: things half in the picture, and the phone itself.

Nothing here knows what plug lies there. Source of all sizes and shares: our estimate.
"""

from collections.abc import Sequence

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array, Mesh, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.lights.rigs import Lights
from pipelines.studio.materials.world import plain
from pipelines.studio.objects.shapes import box, turned
from pipelines.studio.scenery import Item
from pipelines.studio.view import View

HALF_SEEN = 0.75
"""Chance that something is tried to be put half in the picture; about half the tries find room."""

TRIES = 14
GAP = 6.0
"""Room in mm kept free about the subject and the references."""
MOST = 0.22
"""Largest share of the picture that one thing at its edge may hide."""

STUFF = {
    "box": ("cardboard", "enamel_grey", "plastic_black", "plastic_blue", "wood_light", "steel"),
    "tin": ("steel", "enamel_grey", "plastic_white", "grip_red", "aluminium"),
    "bar": ("grip_red", "plastic_black", "tool_chrome", "wood_light", "plastic_blue"),
    "sheet": ("paper", "kraft_dark", "cloth_pale", "plastic_black", "cloth_blue"),
}
"""Kinds of things at the frame's edge, and what they are made of."""

PHONE = (72.0, 148.0)
"""Width and height of the phone in mm."""
BEHIND = 4.0
"""How far its front lies behind the lens, in mm: a flash beside the lens shines past it."""


def half_seen(
    seed: int, view: View, level: float, busy: Array, flats: Sequence[Array]
) -> list[Item]:
    """Up to two things on the ground at `level` that the frame cuts off; often none.

    They hide neither the points `busy` (n, 3) nor the sheets whose corners (4, 3) `flats` gives,
    and stand clear of them.
    """
    rng = np.random.default_rng([seed, 62])
    if rng.random() > HALF_SEEN:
        return []
    kept = _kept_free(view, busy, flats)
    beside = np.concatenate([busy[:, :2], *(_edges(f)[:, :2] for f in flats)])
    out: list[Item] = []
    wanted = 1 + int(rng.random() < 0.35)
    for _ in range(TRIES):
        if len(out) == wanted:
            break
        spot = _on_ground(view, _at_the_edge(view, rng), level)
        if spot is None:
            continue
        field = min(view.width, view.height) / view.px_per_mm(spot)
        kind = str(rng.choice(list(STUFF)))
        mesh = _made(kind, float(np.clip(field * rng.uniform(0.25, 0.9), 12.0, 160.0)), rng)
        pose = translation(*(float(v) for v in spot)) @ rotation("z", float(rng.uniform(0, 360)))
        placed = transformed(mesh, pose)
        if _fits(placed.vertices, view, kept, beside):
            surface = plain(str(rng.choice(STUFF[kind])), rng)
            out.append(Item(f"half_seen_{len(out)}", placed, surface))
            beside = np.concatenate([beside, placed.vertices[::7, :2]])
    return out


def _made(kind: str, size: float, rng: np.random.Generator) -> Mesh:
    tall = min(0.6 * size, 40.0) * float(rng.uniform(0.3, 1.0))
    if kind == "box":
        return box(size, size * float(rng.uniform(0.4, 1.0)), tall, 0.03 * size)
    if kind == "tin":
        r = 0.45 * size
        return turned([(r, 0), (r, tall), (0.93 * r, tall), (0.93 * r, 0.94 * tall)], 0.5, step=1.5)
    if kind == "bar":
        r = float(np.clip(0.07 * size, 2.0, 14.0))
        long = 2.2 * size
        body = turned(
            [(0.8 * r, 0), (r, 0.2 * long), (0.7 * r, 0.7 * long), (r, long)], 2.0, 48, step=2.0
        )
        return transformed(body, translation(0, long / 2, r) @ rotation("x", 90.0))
    return box(size, size * float(rng.uniform(0.6, 1.4)), float(rng.uniform(0.2, 1.5)), 0.02 * size)


def _at_the_edge(view: View, rng: np.random.Generator) -> Array:
    """A pixel about the frame, or well within it: the second stage cuts closer."""
    size = np.array([view.width, view.height], dtype=float)
    at = rng.uniform(0, 1, 2)
    at[int(rng.integers(2))] = float(rng.integers(2))
    out = (at - 0.5) * float(rng.uniform(0.6, 1.2)) + 0.5
    return np.asarray(out * size)


def _on_ground(view: View, pixel: Array, level: float) -> Array | None:
    """The point (3,) of the ground that a pixel shows, None where it shows none near by."""
    right, down, forward = view.axes()
    x, y = (pixel - np.array([view.width, view.height]) / 2) / view.focal_px
    way = forward + x * right + y * down
    if way[2] > -1e-3:
        return None
    t = (level - view.origin[2]) / way[2]
    distance = float(np.linalg.norm(np.subtract(view.target, view.origin)))
    if not 0 < t < 3.0 * distance:
        return None
    return np.asarray(np.array(view.origin) + t * way)


def _kept_free(view: View, busy: Array, flats: Sequence[Array]) -> npt.NDArray[np.uint8]:
    """Pixels (height, width) that nothing may hide: 1 there."""
    out = np.zeros((view.height, view.width), np.uint8)
    for points in (busy, *flats):
        outline = cv2.convexHull(view.project(points).astype(np.float32))
        cv2.fillConvexPoly(out, outline.round().astype(np.int32), 1)
    around = max(3, round(0.02 * min(out.shape)))
    return np.asarray(
        cv2.dilate(out, np.ones((2 * around + 1, 2 * around + 1), np.uint8)), np.uint8
    )


def _edges(corners: Array) -> Array:
    """Points along the four edges of a sheet."""
    t = np.linspace(0, 1, 12)[:, None, None]
    return np.asarray((corners + t * (np.roll(corners, -1, axis=0) - corners)).reshape(-1, 3))


def _fits(points: Array, view: View, kept: npt.NDArray[np.uint8], beside: Array) -> bool:
    """Whether a thing hides nothing, stands clear, is seen at all but not too much of it."""
    depth = (points - np.array(view.origin)) @ view.axes()[2]
    if depth.min() < 30.0:
        return False
    outline = cv2.convexHull(view.project(points).astype(np.float32)).round().astype(np.int32)
    shown = np.zeros_like(kept)
    cv2.fillConvexPoly(shown, outline, 1)
    if not 0.01 < float(shown.mean()) < MOST or np.any(shown & kept):
        return False
    foot = cv2.convexHull(points[:, :2].astype(np.float32))
    return all(
        cv2.pointPolygonTest(foot, (float(x), float(y)), True) < -GAP for x, y in beside[::3]
    )


def phone_item(seed: int, view: View, lights: Lights, points: Array) -> Item | None:
    """The phone behind its lens: flat metal that faces it mirrors a dark plate, not the ceiling.

    None where it would stand between a lamp's middle and one of the `points` (n, 3): whoever takes
    a photo moves out of his own light.
    """
    rng = np.random.default_rng([seed, 63])
    right, down, forward = view.axes()
    turn = np.radians(float(rng.choice([0.0, 90.0, 180.0, 270.0])))
    u = np.cos(turn) * right + np.sin(turn) * down
    v = np.cross(forward, u)
    # The lens sits near a corner.
    off = np.array([float(rng.choice([-1, 1])) * 0.3 * PHONE[0], 0.4 * PHONE[1]])
    middle = np.array(view.origin) - BEHIND * forward + off[0] * u + off[1] * v
    for group in lights.groups:
        for lamp in group.lamps:
            ray = np.array(lamp.place) - points
            past = ray @ forward
            t = ((middle - points) @ forward) / np.where(np.abs(past) < 1e-9, 1e-9, past)
            meets = points + t[:, None] * ray - middle
            across = (np.abs(meets @ u) < PHONE[0] / 2) & (np.abs(meets @ v) < PHONE[1] / 2)
            if np.any(across & (t > 0) & (t < 1)):
                return None
    pose = np.eye(4)
    pose[:3, :3] = np.stack([u, v, forward], 1)
    pose[:3, 3] = middle - 8.0 * forward
    return Item("phone", transformed(box(*PHONE, 8.0, 8.0), pose), plain("plastic_black", rng))
