"""What lies beside the subject: a reference, loose parts, a plate that throws a shadow."""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.geometry.sheet import plane
from pipelines.studio.lights.rigs import Lights
from pipelines.studio.materials.world import plain
from pipelines.studio.objects.grime import surfaces
from pipelines.studio.objects.parts import OBJECTS, pieces
from pipelines.studio.references.flat import Flat
from pipelines.studio.scenery import Item
from pipelines.studio.staging.poses import lying_pose, outline_of
from pipelines.studio.staging.stage import Placed
from pipelines.studio.view import View

FLAT = 3.0
"""A part wider than this many times its height never stands on its edge."""


def part_items(
    name: str, seed: int, prefix: str, place: Array, lie: bool | None, texels: int = 48
) -> list[Item]:
    """A workshop part's items at `place` (4×4, on the ground), lying down if `lies` says so.

    `lie` None leaves any part upright, to be held. `texels` as in `grime.surfaces`.
    """
    rng = np.random.default_rng([seed, 24])
    made = pieces(name, seed)
    points = outline_of([mesh.vertices for _, mesh, _ in made])
    pose = place
    if lie is not None and lies(points, lie):
        balance = float(np.median(points[:, 2]))
        laid = lying_pose(points, balance, float(rng.uniform(0, 360)))
        # The outline leaves out points: it is brought down or up by the little that it misses.
        low = min(float((mesh.vertices @ laid[2, :3]).min()) for _, mesh, _ in made) + laid[2, 3]
        pose = place @ translation(0, 0, -low) @ laid
    return [
        Item(f"{prefix}_{n}", transformed(mesh, pose), surface)
        for (n, mesh, _), surface in zip(made, surfaces(made, seed, texels), strict=True)
    ]


def lies(points: Array, lie: bool) -> bool:
    """Whether a part with these points (n, 3) in its own frame lies down when asked to `lie`.

    What is slender lies in any case, and what is flat as a coin never stands on its edge.
    """
    wide, high = float(np.ptp(points[:, 0])), float(np.ptp(points[:, 2]))
    return (lie or high > 3.2 * wide) and wide < FLAT * high


def gap_between(some: Sequence[Item], others: Sequence[Item]) -> float:
    """Least distance in mm between the footprints of two groups of items."""
    a, b = (outline_of([i.mesh.vertices for i in items], 500)[:, :2] for items in (some, others))
    return float(cKDTree(a).query(b)[0].min())


def litter(
    seed: int,
    view: View,
    busy: Array,
    reach: float,
    number: int,
    allowed: Sequence[str] = tuple(OBJECTS),
) -> list[Item]:
    """Loose parts about the subject, clear of `busy` (n, 2 in mm) and of the line of sight.

    `allowed` are names of `objects.parts.OBJECTS`. Raises ValueError when there are none.
    """
    if not allowed:
        raise ValueError("no object is allowed as litter: name at least one")
    rng = np.random.default_rng([seed, 25])
    out: list[Item] = []
    taken = busy
    for k in range(number):
        name, lie = str(rng.choice(list(allowed))), rng.random() < 0.8
        made = part_items(name, seed * 31 + k, f"loose{k}", np.eye(4), lie)
        if max(float(np.ptp(i.mesh.vertices[:, :2], axis=0).max()) for i in made) > 1.6 * reach:
            continue
        for _ in range(12):
            angle, away = rng.uniform(0, 2 * np.pi), rng.uniform(18, max(30.0, 0.8 * reach))
            spot = busy.mean(axis=0) + away * np.array([np.cos(angle), np.sin(angle)])
            place = translation(spot[0], spot[1], 0) @ rotation("z", float(rng.uniform(0, 360)))
            items = [replace(i, mesh=transformed(i.mesh, place)) for i in made]
            points = outline_of([i.mesh.vertices for i in items], 400)
            gap = cKDTree(taken).query(points[:, :2])[0].min()
            if gap > 2.0 and _clear(points, view):
                out += items
                taken = np.concatenate([taken, points[::4, :2]])
                break
    return out


def _clear(points: Array, view: View, margin: float = 9.0) -> bool:
    """No point lies within `margin` mm of the line from the lens to what is in focus."""
    eye, end = np.array(view.origin), np.array(view.focus)
    way = (end - eye) / np.linalg.norm(end - eye)
    along = (points - eye) @ way
    off = np.linalg.norm(points - eye - along[:, None] * way, axis=1)
    return bool(np.all((off > margin) | (along > np.linalg.norm(end - eye))))


def laid_beside(
    flat: Flat, seed: int, view: View, busy: Array, level: float, whole: bool
) -> tuple[list[Item], Placed, bool]:
    """A reference on the ground beside the subject, clear of `busy` (n, 3 in mm) in space, and not
    behind it if that can be.

    Of many random places the one is kept that shows it whole, or cut off by the frame, as asked.
    Returns its items, its truth, and whether that was found.
    """
    rng = np.random.default_rng([seed, 26])
    tilted = rng.random() < 0.28 and flat.width < 140
    tilt, twist = float(rng.uniform(7, 32)) if tilted else 0.0, float(rng.uniform(0, 360))
    middle = np.array(view.target[:2]) if len(busy) == 0 else busy[:, :2].mean(axis=0)
    before = cv2.convexHull(view.project(busy).astype(np.float32)) if len(busy) > 2 else None
    best: tuple[float, Array] | None = None
    reach = float(np.hypot(flat.width, flat.height)) / 2 + 40
    if not whole:
        # The frame's edge is where it is cut off: places must go that far.
        reach = max(reach, 0.6 * view.width / view.px_per_mm(np.array(view.target)))
    for _ in range(60):
        spot = middle + rng.uniform(-reach, reach, 2)
        turn = float(rng.uniform(0, 360)) if rng.random() < 0.5 else _upright(view) + twist / 24
        pose = translation(spot[0], spot[1], level) @ rotation("z", turn)
        if tilted:
            raised = abs(np.sin(np.radians(tilt))) * flat.height / 2
            pose = translation(0, 0, raised) @ pose @ rotation("x", tilt)
        corners = flat.corners @ pose[:3, :3].T + pose[:3, 3]
        if not _apart(corners[:, :2], busy[:, :2]):
            continue
        seen, hidden = _share_seen(view, flat, pose, before)
        score = -abs(seen - (1.0 if whole else 0.6)) - hidden
        if best is None or score > best[0]:
            best = (score, pose)
        if score > -0.001 if whole else score > -0.15:
            break
    pose = translation(middle[0], middle[1] + 60.0, level) if best is None else best[1]
    items = [Item(n, transformed(mesh, pose), surface) for n, mesh, surface in flat.pieces]
    corners, field = (p @ pose[:3, :3].T + pose[:3, 3] for p in (flat.corners, flat.field))
    seen, hidden = _share_seen(view, flat, pose, before)
    said = (("tilted", tilted), ("covered", hidden > 0.03))
    state = ("whole" if seen > 0.999 else "cut off", *(word for word, true in said if true))
    fine = best is not None and (seen > 0.999 if whole else 0.05 < seen < 0.999)
    return items, Placed(flat.kind, corners, field, state), fine


def _upright(view: View) -> float:
    """The turn that sets a sheet on the ground upright in the picture, in degrees."""
    _, down, _ = view.axes()
    return float(np.degrees(np.arctan2(-down[1], -down[0]))) - 90.0


def _share_seen(
    view: View, flat: Flat, pose: Array, before: npt.NDArray[np.float32] | None
) -> tuple[float, float]:
    """Share of the sheet inside the frame, and share of it behind the outline `before` (pixels)."""
    x, y = np.meshgrid(np.linspace(0, 1, 9), np.linspace(0, 1, 9))
    top = flat.corners[0] + x[..., None] * (flat.corners[1] - flat.corners[0])
    low = flat.corners[3] + x[..., None] * (flat.corners[2] - flat.corners[3])
    grid = (top + y[..., None] * (low - top)).reshape(-1, 3) @ pose[:3, :3].T + pose[:3, 3]
    _, _, forward = view.axes()
    ahead = (grid - np.array(view.origin)) @ forward > 1.0
    pixels = view.project(np.where(ahead[:, None], grid, np.array(view.target)))
    inside = (pixels > 2) & (pixels < np.array([view.width, view.height]) - 2)
    hidden = 0.0
    if before is not None:
        behind = [cv2.pointPolygonTest(before, (float(u), float(v)), False) > 0 for u, v in pixels]
        hidden = float(np.mean(behind))
    return float((inside.all(axis=1) & ahead).mean()), hidden


def _apart(corners: Array, busy: Array, gap: float = 1.5) -> bool:
    """No busy point lies in the quadrilateral (4, 2), clockwise, or within `gap` mm of it."""
    edges = np.roll(corners, -1, axis=0) - corners
    normal = np.stack([-edges[:, 1], edges[:, 0]], 1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    off = ((busy[:, None] - corners[None]) * normal[None]).sum(-1)
    # Clockwise corners: the left normal points outwards.
    return bool(np.all(off.max(axis=1) > gap))


def shade_item(lights: Lights, view: View) -> Item | None:
    """The plate that throws the shadow, or None when it would stand in the picture."""
    if lights.shade is None:
        return None
    centre, aim, width, height = lights.shade
    way = np.subtract(aim, centre)
    way = way / np.linalg.norm(way)
    some = np.array([0.0, 0.0, 1.0]) if abs(way[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    u = np.cross(some, way)
    u /= np.linalg.norm(u)
    pose = np.eye(4)
    pose[:3, :3] = np.stack([u, np.cross(way, u), way], 1)
    pose[:3, 3] = centre
    mesh = transformed(plane(width, height), pose)
    # Seen by the camera it would be a black board in the photo: it must lie outside the frame.
    _, _, forward = view.axes()
    grid = transformed(_net(width, height), pose).vertices
    depth = (grid - np.array(view.origin)) @ forward
    pixels = view.project(grid[depth > 1.0]) if np.any(depth > 1.0) else np.zeros((0, 2))
    inside = (pixels > -20) & (pixels < np.array([view.width, view.height]) + 20)
    if inside.all(axis=1).any():
        return None
    return Item("shade", mesh, plain("chart_black"))


def _net(width: float, height: float) -> Mesh:
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, 9), np.linspace(-0.5, 0.5, 9))
    return grid_mesh(np.stack([x * width, y * height, 0 * x], -1))


def shaded(lights: Lights, placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """References with "shaded" added where the shade's plate stands before the main lamp.

    Looked at from the outline's middle and corners to the lamp's middle: one hidden is enough.
    """
    if lights.shade is None:
        return tuple(placed)
    centre, aim, width, height = lights.shade
    lamp = np.array(lights.groups[0].lamps[0].place)
    way = np.subtract(aim, centre)
    way = way / np.linalg.norm(way)
    some = np.array([0.0, 0.0, 1.0]) if abs(way[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    u = np.cross(some, way)
    u /= np.linalg.norm(u)
    v = np.cross(way, u)
    out = []
    for one in placed:
        points = np.concatenate([one.corners, one.corners.mean(axis=0)[None]])
        ray = lamp - points
        t = ((np.array(centre) - points) @ way) / np.maximum(np.abs(ray @ way), 1e-9)
        meets = points + t[:, None] * ray - np.array(centre)
        hidden = (np.abs(meets @ u) < width / 2) & (np.abs(meets @ v) < height / 2) & (t > 0)
        state = (*one.state, "shaded") if hidden.any() else one.state
        out.append(Placed(one.kind, one.corners, one.field, state))
    return tuple(out)
