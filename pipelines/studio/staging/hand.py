"""The shape of a hand that pinches something: thumb, four jointed fingers, palm, sleeve, nails.

Everything is in the hand's frame: x across the pinch (the thumb at +x), y away from the palm, z
from the little finger's side to the index finger's; the pinched thing is at the origin. Measures in
mm. Source: our estimate of a middling man's hand.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh
from pipelines.studio.materials.noise import fractal
from pipelines.studio.objects.shapes import bend, capsule

SLEEVE = -196.0
"""Where on y the sleeve begins."""


@dataclass(frozen=True)
class Digit:
    """One finger: its middle line (n, 3) from the tip to the knuckle with radii (n,), its joints
    (k, 3) with the directions of the line there, and the side (3,) that its pad faces."""

    path: Array
    radii: Array
    joints: Array
    along: Array
    pad: Array


def _digit(points: Array, radii: list[float], pad: Array, fat: float) -> Digit:
    """A finger through corner points (k, 3), with a radius at every one and thicker joints."""
    path = bend(points.tolist(), 72)
    step = np.linalg.norm(np.diff(path, axis=0), axis=1)
    run = np.concatenate([[0.0], np.cumsum(step)])
    at = np.array([run[np.linalg.norm(path - p, axis=1).argmin()] for p in points])
    thick = np.interp(run, at, radii)
    for place in at[1:-1]:
        thick = thick + 0.55 * np.exp(-(((run - place) / 5.0) ** 2))
    # Fingertips taper over their last bone, the pad in front of the joint stays full.
    thick = thick * (1 - 0.16 * np.clip(1 - run / 9.0, 0, 1) ** 2)
    tangent = np.gradient(path, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
    where = [int(np.abs(run - place).argmin()) for place in at[1:]]
    return Digit(path, fat * thick, path[where], tangent[where], pad)


def digits(half: float, half_below: float, fat: float, rng: np.random.Generator) -> list[Digit]:
    """Thumb, index, middle, ring and little finger round something `half` mm thick to each side,
    `half_below` where the middle finger touches it; `fat` scales all thicknesses."""
    # Soft pads give way round what they hold.
    a, b = 0.95 * half + 6.5 * fat, 0.95 * half_below + 6.2 * fat
    left, right = np.array([1.0, 0, 0]), np.array([-1.0, 0, 0])
    e = rng.uniform(-2.5, 2.5, 6)
    rows: list[tuple[list[list[float]], list[float], Array]] = [
        (
            [
                [a + 0.6, 7, -2],
                [a + 4.5, -22, -5 + e[0]],
                [a + 15, -54, -18 + e[1]],
                [15, -98, -32],
            ],
            [8.4, 10.0, 10.6, 17.0],
            right,
        ),
        (
            [[-a, 8 + e[2], 0], [-a - 4.5, -15, 0], [-a - 15, -38, -1 + e[3]], [-20, -84, -6]],
            [7.0, 8.0, 9.1, 13.5],
            left,
        ),
        (
            [[-b, 4 + e[4], -17], [-b - 5, -20, -17.5], [-b - 17, -44, -19], [-22, -88, -24]],
            [7.2, 8.2, 9.3, 13.5],
            left,
        ),
        (
            [[-7, -20 + e[5], -35], [-15, -37, -36], [-30, -57, -38], [-22, -90, -42]],
            [6.9, 7.8, 8.9, 13.0],
            left,
        ),
        (
            [[-4, -42, -50 + e[5]], [-13, -53, -52], [-26, -67, -53], [-18, -93, -58]],
            [6.0, 6.8, 7.7, 12.0],
            left,
        ),
    ]
    return [_digit(np.array(points), radii, pad, fat) for points, radii, pad in rows]


def _arm(fat: float) -> list[tuple[Array, Array]]:
    """The bodies of the palm's bones, ball of the thumb, wrist and sleeve: paths and radii."""
    wrist = [-3.0, -164.0, -32.0]
    lines = [
        ([[-18, -82, -6], [-6, -122, -20], wrist], [13.5, 15, 19]),
        ([[-21, -87, -24], [-8, -124, -29], wrist], [14, 16, 20]),
        ([[-20, -90, -42], [-6, -126, -38], wrist], [13.5, 15.5, 19]),
        ([[-16, -93, -58], [-4, -128, -45], wrist], [12.5, 14.5, 18]),
        ([[16, -92, -28], [8, -122, -26], [-1, -160, -30]], [16, 19, 18]),
        ([wrist, [-2, -200, -32], [0, -330, -30]], [22, 24, 33]),
    ]
    out = []
    for points, radii in lines:
        path = bend(points, 34)
        at = np.linspace(0, 1, len(radii))
        out.append((path, fat * np.interp(np.linspace(0, 1, 34), at, radii)))
    return out


@dataclass(frozen=True)
class _Round:
    """A round body: points along its middle, in a tree, and its radius at each."""

    tree: cKDTree
    thick: Array


def _round(path: Array, radii: Array) -> _Round:
    fine = np.linspace(0, len(path) - 1, 3 * len(path))
    line = np.stack([np.interp(fine, np.arange(len(path)), path[:, k]) for k in range(3)], 1)
    return _Round(cKDTree(line), np.interp(fine, np.arange(len(path)), radii))


FAR = 14.0
"""A body further away than this, in mm, does not matter: more than any `blend`."""


def _inside(points: Array, bodies: list[_Round], blend: Array) -> Array:
    """Signed distance (n,) of points from the smooth union of round bodies, below 0 inside."""
    total = np.full(len(points), 2 * FAR)
    for body in bodies:
        away, nearest = body.tree.query(points, distance_upper_bound=body.thick.max() + FAR)
        near = np.isfinite(away)
        own = away[near] - body.thick[nearest[near]]
        rest, soft = total[near], blend[near]
        h = np.clip(0.5 + 0.5 * (own - rest) / soft, 0, 1)
        total[near] = own + h * (rest - own) - soft * h * (1 - h)
    return total


def hand_meshes(fingers: list[Digit], fat: float, seed: int) -> tuple[list[Mesh], list[Mesh]]:
    """Meshes of the fingers and of the palm's bodies (all closed grids), grown into one another.

    Each is a tube whose points are pushed out to the smooth union of all: knuckles and the webs
    between fingers close up.
    """
    bodies = [(d.path, d.radii) for d in fingers] + _arm(fat)
    meshes = [capsule(path, radii, 40) for path, radii in bodies]
    every = np.concatenate([m.vertices for m in meshes])
    centres = np.concatenate([_centres(m) for m in meshes])
    away = every - centres
    reach = np.linalg.norm(away, axis=1)
    way = away / np.maximum(reach, 1e-9)[:, None]
    # Fingers keep apart; towards the knuckles they melt together.
    rounds = [_round(path, radii) for path, radii in bodies]
    blend = np.clip((-every[:, 1] - 52.0) / 3.0, 1.0, 11.0)
    out = reach.copy()
    for _ in range(3):
        out = out - _inside(centres + out[:, None] * way, rounds, blend)
        out = np.clip(out, 0.96 * reach, reach + 6.0)
    out += 0.35 * fractal(every / 8.0, seed, 2) * (reach > 1e-6)
    moved = centres + out[:, None] * way
    done, first = [], 0
    for m in meshes:
        vertices = moved[first : first + len(m.vertices)]
        first += len(m.vertices)
        assert m.grid is not None
        grid = vertices.reshape(*m.grid, 3)
        grid[0], grid[-1] = grid[0].mean(axis=0), grid[-1].mean(axis=0)
        grid[:, -1] = grid[:, 0]
        done.append(grid_mesh(np.ascontiguousarray(grid)))
    return done[: len(fingers)], done[len(fingers) :]


def _centres(mesh: Mesh) -> Array:
    """The middle (n, 3) of each vertex's ring; in round ends, the end's own middle."""
    assert mesh.grid is not None
    grid = mesh.vertices.reshape(*mesh.grid, 3)
    middle = grid[:, :-1].mean(axis=1)
    # A capsule has eight rings and a point for each round end.
    middle[:9], middle[-9:] = middle[9], middle[-10]
    return np.repeat(middle, mesh.grid[1], axis=0)


def nail(digit: Digit, fat: float) -> Mesh:
    """A finger nail: a thin, curved, closed plate on the back of the last bone."""
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(digit.path, axis=0), axis=1))])
    k = int(np.abs(run - 4.5 * fat).argmin())
    middle, radius = digit.path[k], float(digit.radii[k])
    tip = digit.path[0] - digit.path[k + 3]
    tip /= np.linalg.norm(tip)
    back = -digit.pad + (digit.pad @ tip) * tip
    back /= np.linalg.norm(back)
    aside = np.cross(back, tip)
    angle = np.linspace(0, -2 * np.pi, 41)
    round_ = np.stack([np.cos(angle), np.sin(angle)], 1)
    square = round_ * (np.abs(round_) ** 4).sum(axis=1, keepdims=True) ** -0.25
    rings = []
    for share, lift in [
        (0, 0.55),
        (0.5, 0.5),
        (0.9, 0.42),
        (1, 0.2),
        (1, -0.8),
        (0.5, -1),
        (0, -1),
    ]:
        u, v = 6.4 * fat * share * square[:, 0], 0.85 * share * square[:, 1]
        # The back of a fingertip is flatter than its round pad.
        out = (0.97 * radius + lift) * np.stack([np.cos(0.8 * v), np.sin(v)], 1)
        dip = 0.018 * np.maximum(u, 0) ** 2
        rings.append(
            middle + u[:, None] * tip + (out[:, :1] - dip[:, None]) * back + out[:, 1:] * aside
        )
    points = np.stack(rings)
    points[:, -1] = points[:, 0]
    return grid_mesh(points)
