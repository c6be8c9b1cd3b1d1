"""What a photo is taken on: named grounds, each a mesh with its surface and what lies about.

A ground is made for one photo: `reach` says how far round the subject it must go, and its texture
gets as fine as that allows. Nothing here knows what plug will lie on it.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh, grid_mesh, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.geometry.sheet import plane, rag
from pipelines.studio.materials.backdrops import backdrop
from pipelines.studio.materials.noise import fractal, value_noise
from pipelines.studio.materials.surface import Surface
from pipelines.studio.materials.world import plain
from pipelines.studio.objects.far import far_ground
from pipelines.studio.objects.shapes import box

TEXELS = 640
NEAR = 420.0
"""Half side in mm of what is drawn in detail."""
Made = list[tuple[str, Mesh, Surface]]


@dataclass(frozen=True)
class Ground:
    """Pieces (name, mesh, surface) in place; things come to rest at z = 0. `littered` says that
    loose parts belong on it."""

    pieces: Made
    littered: bool = False


def _flat(pattern: str) -> Callable[[int, float, np.random.Generator], Ground]:
    def make(seed: int, reach: float, rng: np.random.Generator) -> Ground:
        # Beyond it `far_ground` goes on: texels are kept for what is near.
        near = min(reach, NEAR)
        mesh = plane(2 * near, 2 * near)
        surface = backdrop(pattern, mesh, seed, 2 * near / TEXELS)
        return Ground([("bench", transformed(mesh, _turned(rng)), surface)])

    return make


def _turned(rng: np.random.Generator) -> Array:
    return rotation("z", float(rng.uniform(0, 360)))


def _relief(
    pattern: str, height: float, size: float, cells: bool
) -> Callable[[int, float, np.random.Generator], Ground]:
    """Ground with real bumps: stones (`cells`) or soft folds."""

    def make(seed: int, reach: float, rng: np.random.Generator) -> Ground:
        near = min(reach, 220.0)
        n = int(np.clip(2 * near / min(size / 6, 2.5), 60, 420))
        x, y = np.meshgrid(np.linspace(-near, near, n), np.linspace(-near, near, n))
        where = np.stack([x, y, np.zeros_like(x)], -1)
        if cells:
            z = height * _stones(where[..., :2] / size, seed)
        else:
            z = height * (0.8 * fractal(where / size, seed, 2) + 0.2 * value_noise(where / 9, seed))
        level = float(np.quantile(z, 0.92))
        mesh = grid_mesh(np.stack([x, y, z - level], -1))
        surface = backdrop(pattern, mesh, seed, 2 * near / TEXELS)
        return Ground([("bench", transformed(mesh, _turned(rng)), surface)])

    return make


def _stones(xy: Array, seed: int) -> Array:
    """Heights 0..1 of rounded stones, about one for each unit square (Worley's cells)."""
    rng = np.random.default_rng([seed, 21])
    table = rng.random((64, 64, 3))
    cell = np.floor(xy).astype(int)
    best, tall = np.full(xy.shape[:-1], 9.0), np.zeros(xy.shape[:-1])
    for dx in (-1, 0, 1):
        for dy in (-1, 0, 1):
            here = cell + np.array([dx, dy])
            values = table[here[..., 0] % 64, here[..., 1] % 64]
            d = np.hypot(*(np.moveaxis(here + 0.2 + 0.6 * values[..., :2] - xy, -1, 0)))
            closer = d < best
            tall = np.where(closer, values[..., 2], tall)
            best = np.minimum(best, d)
    return np.asarray(np.sqrt(np.clip(1 - (best / 0.72) ** 2, 0, 1)) * (0.45 + 0.55 * tall))


def _sweep(seed: int, reach: float, _rng: np.random.Generator) -> Ground:
    """White product-shot background: a sheet that curves up behind."""
    back, radius = max(0.7 * reach, 160.0), max(0.35 * reach, 120.0)
    t = np.linspace(0, np.pi / 2, 24)
    profile = np.concatenate(
        [
            [[-max(reach, 800.0), 0.0]],
            np.stack([back + radius * np.sin(t), radius * (1 - np.cos(t))], 1),
            [[back + radius, max(1.5 * reach, 420.0)]],
        ]
    )
    x = np.linspace(-1.0, 1.0, 2) * max(1.4 * reach, 1000.0)
    points = np.stack(
        [
            np.broadcast_to(x, (len(profile), 2)),
            np.broadcast_to(profile[:, :1], (len(profile), 2)),
            np.broadcast_to(profile[:, 1:], (len(profile), 2)),
        ],
        -1,
    )
    mesh = grid_mesh(np.ascontiguousarray(points))
    return Ground([("bench", mesh, backdrop("white", mesh, seed, 2 * reach / 64))])


def _rag(colour: str, under: str) -> Callable[[int, float, np.random.Generator], Ground]:
    def make(seed: int, reach: float, rng: np.random.Generator) -> Ground:
        ground = _flat(under)(seed, reach, rng)
        wide, fold = float(rng.uniform(150, 240)), float(rng.uniform(3, 9))
        cloth = rag(wide, wide * 0.8, fold, seed, 1.4)
        sheet = plane(wide, wide * 0.8)
        near = np.hypot(cloth.vertices[:, 0], cloth.vertices[:, 1]) < 25.0
        level = float(np.quantile(cloth.vertices[near, 2], 0.8))
        lowered = translation(0, 0, -level)
        pieces = [(n, transformed(m, lowered), s) for n, m, s in ground.pieces]
        surface = backdrop(colour, sheet, seed, wide / TEXELS)
        pieces.append(("rag", transformed(cloth, lowered @ _turned(rng)), surface))
        return Ground(pieces)

    return make


def _tray(seed: int, reach: float, rng: np.random.Generator) -> Ground:
    """A steel tray with a lip on a bench."""
    a, b = float(rng.uniform(90, 170)), float(rng.uniform(70, 120))
    floor = plane(2 * a, 2 * b)
    shift = translation(float(rng.uniform(-0.5, 0.5)) * a, float(rng.uniform(-0.5, 0.5)) * b, 0)
    turn = _turned(rng) @ shift
    pieces: Made = [("bench", transformed(floor, turn), backdrop("steel", floor, seed, a / 260))]
    for k, (w, d, x, y) in enumerate(
        [(2 * a, 3.0, 0, b), (2 * a, 3.0, 0, -b), (3.0, 2 * b, a, 0), (3.0, 2 * b, -a, 0)]
    ):
        lip = transformed(box(w, d, 16.0, 1.2), turn @ translation(x, y, -1.0))
        pieces.append((f"lip_{k}", lip, plain("steel", rng)))
    near = min(reach, NEAR)
    under = plane(2 * near, 2 * near, -1.2)
    pattern = str(rng.choice(["wood", "rubber", "grey paint"]))
    pieces.append(("under", under, backdrop(pattern, under, seed + 1, 2 * near / TEXELS)))
    return Ground(pieces)


def _littered(under: str) -> Callable[[int, float, np.random.Generator], Ground]:
    def make(seed: int, reach: float, rng: np.random.Generator) -> Ground:
        ground = _flat(under)(seed, reach, rng)
        return Ground(ground.pieces, littered=True)

    return make


GROUNDS: dict[str, Callable[[int, float, np.random.Generator], Ground]] = {
    "bench wood": _flat("wood"),
    "steel plate": _flat("steel"),
    "steel tray": _tray,
    "rubber mat": _flat("rubber"),
    "concrete": _flat("concrete"),
    "cardboard": _flat("cardboard"),
    "brown paper": _flat("kraft"),
    "white paper": _flat("paper"),
    "paper towel": _flat("towel"),
    "white sweep": _sweep,
    "green paint": _flat("green paint"),
    "grey paint": _flat("grey paint"),
    "black plastic": _flat("black plastic"),
    "yellow plastic": _flat("yellow plastic"),
    "blue cloth": _relief("blue cloth", 3.0, 60.0, False),
    "red rag": _rag("red cloth", "wood"),
    "pale rag": _rag("pale cloth", "grey paint"),
    "blue rag": _rag("blue cloth", "concrete"),
    "gravel": _relief("gravel", 6.0, 9.0, True),
    "coarse gravel": _relief("gravel", 11.0, 18.0, True),
    "soil": _relief("soil", 4.0, 30.0, False),
    "blue glove": _relief("blue glove", 5.0, 45.0, False),
    "black glove": _relief("black glove", 5.0, 45.0, False),
    "orange glove": _relief("orange glove", 5.0, 45.0, False),
    "leather glove": _relief("leather", 5.0, 45.0, False),
    "clutter on wood": _littered("wood"),
    "clutter on steel": _littered("steel"),
    "clutter on paint": _littered("grey paint"),
    "clutter on rubber": _littered("rubber"),
}


def ground(name: str, seed: int, reach: float) -> Ground:
    """The ground of that name, `reach` mm to each side of the origin, level at z = 0.

    In detail it is drawn out to `NEAR` mm at most; it goes on far beyond, and at y > 0, away from
    the camera, up into a dim, blurred wall, so that no edge of the world is seen.

    Raises KeyError with the known names when there is none.
    """
    if name not in GROUNDS:
        raise KeyError(f"no ground called {name!r}; known: {', '.join(GROUNDS)}")
    made = GROUNDS[name](seed, reach, np.random.default_rng([seed, 22]))
    if name == "white sweep":
        return made
    # What lies lowest goes on beyond: a bench under a rag, the floor of gravel.
    named = {n: (mesh, surface) for n, mesh, surface in made.pieces}
    mesh, surface = named.get("under", named["bench"])
    level = float(np.median(mesh.vertices[:, 2])) - 0.2
    far, seen = far_ground(surface, level, seed)
    return Ground([*made.pieces, ("far", far, seen)], made.littered)
