"""What use leaves on a part: rust, grease, soot, dust, oil, in patches. Source: our estimate."""

from collections.abc import Sequence

import numpy as np

from pipelines.studio.geometry.mesh import Mesh
from pipelines.studio.materials.noise import patches
from pipelines.studio.materials.surface import Layer, Surface, texel_points
from pipelines.studio.materials.world import matter, plain
from pipelines.studio.objects.forms import METALS, Piece

CLEAN = 0.4
"""Share of parts without a mark."""
DIRT = {
    "soot": (0.1, 0.6),
    "oily_soot": (0.1, 0.6),
    "oil": (0.2, 0.7),
    "ash_beige": (0.1, 0.5),
    "soil": (0.1, 0.4),
    "rust": (0.1, 0.7),
    "oxide": (0.2, 0.7),
}
"""What may lie there, with the least and greatest share of the part that it covers."""
ON_METAL = ("rust", "oxide")
TEXTURED = 4
"""Pieces of a part, the largest first, whose dirt is drawn; the small ones stay as they are."""
ROWS = 12
"""A mesh with fewer rows, like a box, would show a map drawn out to its middle: it stays clean."""


def surfaces(made: Sequence[Piece], seed: int, texels: int = 72) -> list[Surface]:
    """A surface for each piece of a part: its matter, and on most parts one or two kinds of dirt.

    `texels` along each side of a map: fewer where many parts lie.
    """
    rng = np.random.default_rng([seed, 28])
    plains = [plain(metal, rng) for _, _, metal in made]
    if rng.random() < CLEAN:
        return plains
    kinds = [str(k) for k in rng.choice(list(DIRT), int(rng.integers(1, 3)), replace=False)]
    share = {k: float(rng.uniform(*DIRT[k])) for k in kinds}
    # Fine or broad against the part; hardly ever with a sharp edge, seldom hiding all below it.
    whole = max(float(np.ptp(mesh.vertices, axis=0).max()) for _, mesh, _ in made)
    size = float(np.exp(rng.uniform(np.log(0.04), np.log(0.3)))) * whole
    soft, strong = float(rng.uniform(0.3, 1.6)), float(rng.uniform(0.35, 1.0))
    sizes = [float(np.prod(np.sort(np.ptp(m.vertices, axis=0))[1:])) for _, m, _ in made]
    large = set(np.argsort(sizes)[::-1][:TEXTURED].tolist())
    return [
        _dirty(mesh, surface, metal, share, (size, soft, strong), seed, texels)
        if k in large and mesh.grid is not None and mesh.grid[0] >= ROWS
        else surface
        for k, ((_, mesh, metal), surface) in enumerate(zip(made, plains, strict=True))
    ]


def _dirty(
    mesh: Mesh,
    clean: Surface,
    metal: str,
    share: dict[str, float],
    grain: tuple[float, float, float],
    seed: int,
    texels: int,
) -> Surface:
    layers = list(clean.layers)
    points = texel_points(mesh, texels, texels) / grain[0]
    for k, (kind, covered) in enumerate(share.items()):
        if kind in ON_METAL and metal not in METALS:
            continue
        cover = grain[2] * patches(points, seed + 7 * k, covered, grain[1], 5)
        layers.append(Layer(matter(kind), cover, 0.8 * cover if kind == "oil" else None))
    return Surface(tuple(layers))
