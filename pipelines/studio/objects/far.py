"""Where a ground goes on to behind the subject: out of the picture, or up a dim, blurred wall."""

import numpy as np

from pipelines.studio.geometry.mesh import Mesh, grid_mesh
from pipelines.studio.materials.noise import fractal
from pipelines.studio.materials.surface import Layer, Map, Surface, texel_points
from pipelines.studio.materials.world import matter

HALF = 1300.0
"""How far it goes to the sides and towards the camera, in mm."""
WALLS = ("plastic_black", "enamel_grey", "wood_dark", "kraft_dark", "concrete", "soil", "rubber")
THINGS = ("cloth_blue", "cardboard", "paint_green", "enamel_grey", "soot", "plastic_white",
          "grip_red", "wood_light")  # fmt: skip


def far_ground(near: Surface, level: float, seed: int) -> tuple[Mesh, Surface]:
    """Mesh and surface of what lies beyond a ground: a bench that bends up into a wall at y > 0.

    `near` is the ground's own surface: the bench has its matters in their mean shares, as they look
    from afar; the wall has large, soft things on it, as what is far out of focus has. `level` in mm
    lies a little under the ground, so that the seam is hidden.
    """
    rng = np.random.default_rng([seed, 27])
    back, bend = float(rng.uniform(480, 800)), float(rng.uniform(90, 200))
    t = np.linspace(0, np.pi / 2, 14)
    curve = np.stack([back + bend * np.sin(t), bend * (1 - np.cos(t))], 1)
    up = np.stack([np.full(12, back + bend), np.linspace(bend, 0.62 * back + bend, 13)[1:]], 1)
    flat = np.stack([np.linspace(-HALF, back, 14)[:-1], np.zeros(13)], 1)
    profile = np.concatenate([flat, curve, up])
    x = np.array([-HALF, HALF])
    points = np.stack(
        [np.broadcast_to(x, (len(profile), 2))]
        + [np.broadcast_to(profile[:, k : k + 1], (len(profile), 2)) for k in (0, 1)],
        -1,
    )
    mesh = grid_mesh(np.ascontiguousarray(points + np.array([0.0, 0.0, level])))
    texels = texel_points(mesh, 120, 120)
    return mesh, Surface((*_from_afar(near, texels, seed), *_wall(texels, level, back, seed, rng)))


def _from_afar(near: Surface, texels: Map, seed: int) -> list[Layer]:
    """The layers of a surface, each evenly laid in its mean share but for broad clouds."""
    out = []
    for k, layer in enumerate(near.layers):
        cloud = 1 + 0.45 * fractal(texels / 260.0, seed + 11 * k, 4, 0.6)
        cover, film = (
            None if m is None else np.clip(float(np.mean(m)) * cloud, 0, 1).astype(np.float32)
            for m in (layer.cover, layer.film)
        )
        out.append(Layer(layer.matter, cover, film))
    return out


def _wall(
    texels: Map, level: float, back: float, seed: int, rng: np.random.Generator
) -> list[Layer]:
    high = texels[..., 2] - level
    # The bench fades into the dark before it reaches the wall.
    fade = np.clip((texels[..., 1] - 0.55 * back) / (0.5 * back), 0, 1)
    fade = fade * fade * (3 - 2 * fade)
    out = [Layer(matter(str(rng.choice(WALLS))), fade)]
    for k in range(int(rng.integers(2, 6))):
        width, tall = float(rng.uniform(60, 260)), float(rng.uniform(60, 320))
        x, z = float(rng.uniform(-0.8, 0.8)) * HALF, float(rng.uniform(0, 0.5)) * back
        soft = float(rng.uniform(25, 70))
        across = _soft_step(width - np.abs(texels[..., 0] - x), soft)
        shape = across * _soft_step(tall - np.abs(high - z), soft)
        uneven = 0.75 + 0.35 * fractal(texels / 90.0, seed + 5 + k, 2)
        thing = str(rng.choice(THINGS))
        out.append(Layer(matter(thing), np.clip(fade * shape * uneven, 0, 0.9)))
    out.append(Layer(matter("soot"), float(rng.uniform(0.2, 0.75)) * fade))
    return out


def _soft_step(inside: Map, soft: float) -> Map:
    t = np.clip(0.5 + inside / soft / 2, 0, 1)
    return np.asarray(t * t * (3 - 2 * t))
