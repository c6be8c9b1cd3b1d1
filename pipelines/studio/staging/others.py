"""Parts that are no plug before the camera: a few, one close up, a row, a heap, or one held up.

Source of all ranges and shares: our estimate.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipelines.studio.geometry.mesh import Array, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.objects.parts import pieces
from pipelines.studio.scenery import Item
from pipelines.studio.staging.extras import gap_between, lies, part_items
from pipelines.studio.staging.poses import Aim, axis_towards, outline_of, towards

SHARES_OF = {"nothing": 0.03, "few": 0.27, "close-up": 0.40, "row": 0.08, "heap": 0.08, "up": 0.14}
"""How often parts are laid out so."""
CLOSE = ("close-up", "up")
"""Those that show one part as large as `FILLS` says."""
FILLS = (0.2, 0.9)
"""Least and greatest share of the picture's shorter side that a part close up takes."""
END_ON = 0.6
"""How often a part close up, or held up, turns an end to the camera: mostly holes and rings."""

_UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Laid:
    """Parts in their places, what the camera looks at, and the level of the ground in mm."""

    items: tuple[Item, ...]
    aim: Aim
    level: float = 0.0
    kind: str = "nothing"


def laid_out(names: Sequence[str], seed: int, rng: np.random.Generator) -> Laid:
    """Parts of the kinds `names` laid out in one of the ways of `SHARES_OF`."""
    kind = str(rng.choice(list(SHARES_OF), p=list(SHARES_OF.values())))
    if kind == "nothing":
        return Laid((), Aim(np.zeros(3), _away(rng), 60.0, float(rng.uniform(0.25, 0.95))))
    if kind in CLOSE:
        return _close(kind, str(rng.choice(list(names))), seed, rng)
    made = {"few": _few, "row": _row, "heap": _heap}[kind](names, seed, rng)
    points, way = outline_of([i.mesh.vertices for i in made]), _away(rng)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    extent = max(25.0, float(np.ptp(points, axis=0).max()))
    share = float(rng.uniform(0.25, 0.95 if kind == "few" else 1.6))
    return Laid(tuple(made), Aim(middle, way, extent, share), 0.0, kind)


def _away(rng: np.random.Generator) -> Array:
    """A direction to the camera from above, down to near the ground."""
    return towards(_UP, float(rng.uniform(0, 72)), rng, 0.1)


def _few(names: Sequence[str], seed: int, rng: np.random.Generator) -> list[Item]:
    """One to four parts clear of each other."""
    items: list[Item] = []
    for k in range(int(rng.choice([1, 2, 3, 4], p=[0.4, 0.22, 0.19, 0.19]))):
        chosen, lie = str(rng.choice(list(names))), rng.random() < 0.6
        made = part_items(chosen, seed * 7 + k, f"part{k}", np.eye(4), lie)
        far = 20.0 + 0.5 * _width(made)
        for _ in range(8):
            new = _moved(made, rng, float(rng.uniform(far, far + 50)) if k else 0.0)
            if not items or gap_between(new, items) > 1.0:
                items += new
                break
    return items


def _row(names: Sequence[str], seed: int, rng: np.random.Generator) -> list[Item]:
    """Three to seven parts of one kind side by side, alike or of several sizes."""
    chosen, lie = str(rng.choice(list(names))), rng.random() < 0.4
    alike, number = rng.random() < 0.5, int(rng.integers(3, 8))
    turn, spin = rotation("z", float(rng.uniform(0, 360))), float(rng.choice([4.0, 180.0]))
    items: list[Item] = []
    at, gap = 0.0, float(rng.uniform(1.5, 18.0))
    for k in range(number):
        of = seed * 7 + (0 if alike else k)
        made = part_items(chosen, of, f"part{k}", rotation("z", float(rng.normal(0, spin))), lie)
        x = np.concatenate([i.mesh.vertices[:, 0] for i in made])
        place = turn @ translation(at - float(x.min()), float(rng.normal(0, 1.5)), 0)
        items += [replace(i, mesh=transformed(i.mesh, place)) for i in made]
        at += float(np.ptp(x)) + gap
    return items


def _heap(names: Sequence[str], seed: int, rng: np.random.Generator) -> list[Item]:
    """Four to nine parts thrown together, some tilted on others."""
    kinds = [str(n) for n in rng.choice(list(names), min(3, len(names)), replace=False)]
    items: list[Item] = []
    tops: list[tuple[Array, float, float]] = []
    for k in range(int(rng.integers(4, 10))):
        made = part_items(
            str(rng.choice(kinds)), seed * 7 + k, f"part{k}", np.eye(4), rng.random() < 0.5, 32
        )
        radius = 0.5 * _width(made)
        spot = rng.normal(0, 0.7 * radius + 8.0, 2)
        # It comes to lie on whatever its foot meets, a little askew there.
        below = [h for p, r, h in tops if np.hypot(*(spot - p)) < r + radius]
        tilt = float(rng.uniform(5, 40)) if below else 0.0
        pose = rotation("z", float(rng.uniform(0, 360))) @ rotation("x", tilt)
        turned = [transformed(i.mesh, pose) for i in made]
        low = min(float(m.vertices[:, 2].min()) for m in turned)
        high = max(float(m.vertices[:, 2].max()) for m in turned)
        place = translation(float(spot[0]), float(spot[1]), max(below, default=0.0) - low)
        items += [replace(i, mesh=transformed(m, place)) for i, m in zip(made, turned, strict=True)]
        tops.append((spot, radius, max(below, default=0.0) + high - low))
    return items


def _close(kind: str, name: str, seed: int, rng: np.random.Generator) -> Laid:
    """One part that fills much of the picture: lying, standing, or held over the ground."""
    end_on, level = rng.random() < END_ON, 0.0
    if kind == "up":
        way = towards(_UP, float(rng.uniform(5, 62)), rng, 0.0)
        # Either end may look at the camera.
        flip = rotation("x", 180.0 if rng.random() < 0.35 else 0.0)
        turn = axis_towards(way, float(rng.uniform(0, 40 if end_on else 110)), rng) @ flip
        items = part_items(name, seed * 7, "part0", np.eye(4), None, 96)
        items = [replace(i, mesh=transformed(i.mesh, turn)) for i in items]
        low = min(float(i.mesh.vertices[:, 2].min()) for i in items)
        level = low - float(rng.uniform(15, 110))
    else:
        lie = rng.random() < 0.5
        items = part_items(name, seed * 7, "part0", np.eye(4), lie, 96)
        upright = outline_of([mesh.vertices for _, mesh, _ in pieces(name, seed * 7)])
        # What lies has its axis along y, its business end at the greater.
        end = 1.0 if rng.random() < 0.6 else -1.0
        axis = np.array([0.0, end, 0.0]) if lies(upright, lie) else _UP
        way = towards(axis, float(rng.uniform(0, 38)), rng, 0.09) if end_on else _away(rng)
    points = outline_of([i.mesh.vertices for i in items])
    # What faces the camera is in focus and fills the picture: the near third of the part.
    depth = points @ way
    near = points[depth > depth.max() - max(6.0, 0.35 * float(np.ptp(depth)))]
    seen = near if end_on else points
    point = (seen.min(axis=0) + seen.max(axis=0)) / 2
    some = np.array([1.0, 0.0, 0.0]) if abs(way[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    u = np.cross(way, some)
    u /= np.linalg.norm(u)
    across = np.stack([seen @ u, seen @ np.cross(way, u)], 1)
    mm = max(4.0, float(np.ptp(across, axis=0).max()))
    return Laid(tuple(items), Aim(point, way, mm, float(rng.uniform(*FILLS))), level, kind)


def _width(items: Sequence[Item]) -> float:
    points = np.concatenate([i.mesh.vertices[::7, :2] for i in items])
    return float(np.ptp(points, axis=0).max())


def _moved(items: Sequence[Item], rng: np.random.Generator, away: float) -> list[Item]:
    angle = float(rng.uniform(0, 2 * np.pi))
    place = translation(away * np.cos(angle), away * np.sin(angle), 0) @ rotation(
        "z", float(rng.uniform(0, 360))
    )
    return [replace(i, mesh=transformed(i.mesh, place)) for i in items]
