"""Skin and gloves: the surfaces of fingers, palm and nails. Source of all amounts: our estimate."""

import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.materials.noise import fractal, patches, value_noise
from pipelines.studio.materials.surface import Layer, Map, Surface, texel_points
from pipelines.studio.materials.world import matter
from pipelines.studio.staging.hand import SLEEVE, Digit

GLOVES: tuple[str, ...] = (
    "skin",
    "nitrile_blue",
    "nitrile_black",
    "nitrile_orange",
    "nitrile_green",
    "leather",
    "knit",
)
"""What a hand may wear; "skin" is a bare one."""

TONES = ("skin_pale", "skin_tan", "skin_brown", "skin_dark")
SLEEVES = ("cloth_blue", "cloth_red", "knit_grey", "plastic_black", "soil")


def thickness(glove: str) -> float:
    """How much thicker than bare fingers gloved ones are, as a factor."""
    return {"skin": 1.0, "leather": 1.17, "knit": 1.13}.get(glove, 1.03)


class Wear:
    """One hand's glove or skin: drawn once, the same on all its fingers."""

    def __init__(self, glove: str, rng: np.random.Generator) -> None:
        self.glove = glove
        self.seed = int(rng.integers(1 << 30))
        self.tone = str(rng.choice(TONES))
        self.sleeve = str(rng.choice(SLEEVES))
        self.grime = float(rng.choice([0.03, 0.15, 0.4]))
        self.coated = bool(rng.random() < 0.7)
        self.coat = str(rng.choice(["nitrile_black", "nitrile_blue", "rubber"]))
        self.rng = rng

    def finger(self, mesh: Mesh, digit: Digit) -> Surface:
        """Surface of one finger."""
        points = texel_points(mesh, 220, 120)
        at = [(points - j) @ a for j, a in zip(digit.joints[:2], digit.along[:2], strict=True)]
        folds = np.max([np.exp(-((d / 6.0) ** 2)) for d in at], axis=0)
        middle = _nearest(points, digit.path)
        pad = np.einsum("ijk,k->ij", points - middle, digit.pad) / float(digit.radii.mean())
        return self._made(points, at, folds, pad)

    def palm(self, mesh: Mesh) -> Surface:
        """Surface of palm and arm, a sleeve over the latter."""
        points = texel_points(mesh, 260, 120)
        none = np.zeros(points.shape[:2])
        surface = self._made(points, [], none + 0.15, none - 0.3)
        edge = SLEEVE + 2.0 * fractal(points / 30.0, self.seed + 9, 2)
        under = np.clip((edge - points[..., 1]) / 1.2, 0, 1)
        weave = np.sin(2 * np.pi * points[..., 1] / 1.4) * np.sin(2 * np.pi * points[..., 0] / 1.4)
        layers = (*surface.layers, Layer(matter(self.sleeve), under))
        height = surface.height if surface.height is not None else none
        swell = under * (2.5 + 1.5 * fractal(points / np.array([30.0, 12.0, 30.0]), self.seed, 3))
        return Surface(layers, height * (1 - under) + 0.08 * under * weave, swell, points)

    def nail(self, mesh: Mesh) -> Surface:
        """Surface of a nail: pale, glossy, dirt under its edge."""
        points = texel_points(mesh, 24, 48)
        rim = np.zeros(points.shape[:2])
        rim[points.shape[0] // 3 : points.shape[0] // 2] = 0.6
        return Surface((Layer(matter("nail")), Layer(matter("dark_brown"), rim * self.grime)))

    def _made(self, points: Map, at: list[Map], folds: Map, pad: Map) -> Surface:
        if self.glove == "skin":
            return self._skin(points, at, folds, pad)
        if self.glove == "leather":
            return self._leather(points, folds)
        if self.glove == "knit":
            return self._knit(points, pad)
        return self._nitrile(points, at, folds)

    def _skin(self, points: Map, at: list[Map], folds: Map, pad: Map) -> Surface:
        lines = _creases(points, at, self.seed, (-2.0, 0.1, 2.1), 0.4)
        cloud, pores = fractal(points / 9.0, self.seed + 1, 3), fractal(points / 0.7, self.seed, 2)
        ridges = np.clip(pad, 0, 1) * np.sin(2 * np.pi * (points[..., 1] + 2 * cloud) / 0.55)
        red = np.clip(0.28 + 0.3 * cloud + 0.35 * folds + 0.2 * np.clip(pad, 0, 1), 0, 0.85)
        dirt = np.clip(self.grime * (0.35 + 0.9 * cloud + 1.6 * lines - 0.25 * pores), 0, 0.8)
        layers = (
            Layer(matter(self.tone)),
            Layer(matter(f"{self.tone}_flushed"), red),
            Layer(matter("dark_brown"), dirt),
            Layer(matter("soot"), np.clip(self.grime * (1.4 * lines + 0.5 * cloud - 0.2), 0, 0.5)),
        )
        height = 0.05 * pores + 0.025 * ridges - 0.3 * lines
        return Surface(layers, height, None, points)

    def _nitrile(self, points: Map, at: list[Map], folds: Map) -> Surface:
        """Thin and tight: sharp wrinkles across the joints, slack ripples along, a little dirt."""
        tight = np.array([14.0, 3.2, 14.0])
        ripple = 1 - np.abs(fractal(points / tight, self.seed, 2))
        ripple = np.clip((ripple - 0.55) / 0.45, 0, 1) ** 2
        lines = _creases(points, at, self.seed + 5, (-3.2, -1.3, 0.4, 2.2, 3.6), 0.5)
        height = 0.45 * ripple * (0.25 + folds) - 0.35 * lines + 0.02 * fractal(points / 0.8, 3, 2)
        dirt = self.grime * patches(points / 9.0, self.seed + 2, 0.3, 0.9, 5)
        layers = (
            Layer(matter(self.glove, self.rng)),
            Layer(matter("dark_brown"), 0.8 * dirt),
            Layer(matter("oil"), 0.5 * self.grime * patches(points / 7.0, self.seed + 3, 0.2, 0.5)),
        )
        return Surface(layers, height, None, points)

    def _leather(self, points: Map, folds: Map) -> Surface:
        """Thick hide: deep folds at the joints, grain, worn dark where it grips, seams."""
        rows, columns = points.shape[:2]
        fold = np.abs(fractal(points / np.array([16.0, 5.0, 16.0]), self.seed, 2))
        fold = np.clip(1 - fold / 0.22, 0, 1)
        grain = value_noise(points / 0.9, self.seed + 1)
        worn = fractal(points / 14.0, self.seed + 2, 4)
        around = np.arange(columns) / columns
        apart = np.minimum(np.abs(around - 0.25), np.abs(around - 0.75)) * 55.0
        seam = np.broadcast_to(np.exp(-((apart / 0.9) ** 2)), (rows, columns))
        stitch = seam * (np.sin(np.arange(rows)[:, None] * 2 * np.pi / 7.0) > 0.2)
        height = 0.5 * seam - 0.55 * fold * (0.3 + folds) + 0.05 * grain
        layers = (
            Layer(matter("leather", self.rng)),
            Layer(matter("dark_brown"), np.clip(0.12 + self.grime * (0.6 + worn), 0, 0.75)),
            Layer(matter("dark_brown"), np.clip(0.5 * fold * folds, 0, 1)),
            Layer(matter("cloth_pale"), 0.7 * stitch),
        )
        return Surface(layers, height, None, points)

    def _knit(self, points: Map, pad: Map) -> Surface:
        """Knit fabric, its palm and fingertips often dipped in rubber."""
        rows, columns = points.shape[:2]
        turn, run = np.arange(columns)[None, :] / columns, np.arange(rows)[:, None] / rows
        rib = np.abs(np.sin(np.pi * 34 * turn))
        stitch = 0.5 + 0.5 * np.sin(
            2 * np.pi * (70 * run + 0.5 * np.sign(np.sin(68 * np.pi * turn)))
        )
        wash = fractal(points / 20.0, self.seed, 4)
        dirt = np.clip(self.grime * (0.7 + 0.9 * wash), 0, 0.7)
        coat = np.clip((pad + 0.25 + 0.3 * wash) * 9, 0, 1) * float(self.coated)
        layers = (
            Layer(matter("knit_grey")),
            Layer(matter("soot"), np.clip(0.4 * (1 - rib * stitch), 0, 1)),
            Layer(matter("dark_brown"), dirt),
            Layer(matter(self.coat), coat),
            Layer(matter("dark_brown"), 0.6 * dirt * coat),
        )
        fabric = 0.3 * rib * (0.5 + 0.5 * stitch)
        crinkle = 0.12 * fractal(points / 1.3, self.seed + 4, 3)
        return Surface(layers, fabric * (1 - coat) + (0.3 + crinkle) * coat, None, points)


def _nearest(points: Map, path: Array) -> Map:
    """The point of a path nearest to each texel (rows, columns, 3)."""
    from scipy.spatial import cKDTree

    _, nearest = cKDTree(path).query(points.reshape(-1, 3))
    return np.asarray(path[nearest].reshape(points.shape))


def _creases(points: Map, at: list[Map], seed: int, places: tuple[float, ...], width: float) -> Map:
    """Lines across the joints, 0..1, wavering and of uneven depth."""
    out = np.zeros(points.shape[:2])
    for k, along in enumerate(at):
        wavy = along + 0.7 * fractal(points / 5.0, seed + 31 + k, 2)
        for j, place in enumerate(places):
            depth = np.clip(0.6 + 0.6 * value_noise(points / 4.0, seed + 7 * j + k), 0, 1)
            out = np.maximum(out, depth * np.exp(-(((wavy - place) / width) ** 2)))
    return out
