"""Where on a plug a map lies, and the patterns that conditions and findings are drawn with."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from pipelines.studio.materials.films import thickness_of
from pipelines.studio.materials.noise import Field, fractal, patches
from pipelines.studio.materials.spectra import Matter
from pipelines.studio.materials.surface import Layer, Map
from pipelines.studio.plug import FiringEnd

DEEP = 3.0
"""The nose is judged from its end down to this depth in mm below the rim."""


@dataclass(frozen=True)
class Place:
    """The texels `points` (rows, columns, 3) of one part of a plug, in mm; `seed` of its noise."""

    plug: FiringEnd
    part: str
    points: Map
    seed: int

    @cached_property
    def z(self) -> Map:
        """Height over the rim in mm."""
        return self.points[..., 2]

    @cached_property
    def radius(self) -> Map:
        """Distance from the axis in mm."""
        return np.hypot(self.points[..., 0], self.points[..., 1])

    @cached_property
    def depth(self) -> Map:
        """How far below the nose's end, in mm."""
        return self.plug.projection - self.z

    @cached_property
    def side(self) -> Map:
        """-1..1 from the clean to the covered side of the plug."""
        where = np.radians(self.plug.strap_turn + 70.0)
        along = self.points[..., 0] * np.cos(where) + self.points[..., 1] * np.sin(where)
        return along / np.maximum(self.radius, 1e-6)

    @cached_property
    def lean(self) -> Map:
        """By how much deposits lean to one side."""
        return self.plug.one_sided * self.side

    @cached_property
    def visible(self) -> Map:
        """Weight of each texel in what is seen of the nose: its area, 0 in the hole and deep down.

        A nose's profile has steps of one length, so area goes as the radius.
        """
        hole = self.plug.electrode / 2 + 0.06
        return np.where((self.z > -DEEP) & (self.radius > hole), self.radius, 0.0)

    def noise(self, size: float | npt.NDArray[np.floating], salt: int, octaves: int = 4) -> Field:
        """Fractal noise with features of `size` mm."""
        return fractal(self.points / np.float32(size), self.seed + salt, octaves)

    def patches(
        self,
        size: float | npt.NDArray[np.floating],
        salt: int,
        share: float,
        softness: float,
        octaves: int = 4,
    ) -> Field:
        """Patches of `size` mm on `share` of the texels."""
        return patches(self.points / np.float32(size), self.seed + salt, share, softness, octaves)

    def turning_marks(self, salt: int, depth: float) -> Field:
        """Fine rings left by the lathe, in mm."""
        angle = np.arctan2(self.points[..., 1], self.points[..., 0])
        ring = np.stack([self.radius * 14, self.z * 14, angle], -1)
        return np.float32(depth) * fractal(ring, self.seed + salt, 2)


def ramp(value: Map, low: float, high: float) -> Map:
    """0 below `low`, 1 above `high`, smooth between."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return t * t * (3 - 2 * t)


def film(matter: Matter, opacity: Map, cover: Map | None = None) -> Layer:
    """A film that keeps back about `opacity` (clipped to 0..1) of green light, where it lies."""
    return Layer(matter, cover, thickness_of(np.clip(opacity, 0.0, 0.999)))


def spots(
    points: Map, where: npt.NDArray[np.bool_], number: int, size: tuple[float, float], seed: int
) -> Field:
    """Round spots on texels chosen by `where`: 1 in the middle of each, 0 at its edge.

    `size` is from the least to the greatest radius in mm.
    """
    out = np.zeros(points.shape[:2], np.float32)
    chosen = np.flatnonzero(where)
    if number == 0 or len(chosen) == 0:
        return out
    rng = np.random.default_rng([seed, 9])
    flat = np.ascontiguousarray(points.reshape(-1, 3)[chosen].T, np.float32)
    best = np.zeros(len(chosen), np.float32)
    for k in rng.integers(len(chosen), size=number):
        radius = rng.uniform(*size)
        close = np.flatnonzero(np.abs(flat[2] - flat[2, k]) < radius)
        away = ((flat[:, close] - flat[:, k : k + 1]) ** 2).sum(axis=0) / np.float32(radius**2)
        best[close] = np.maximum(best[close], 1 - away)
    out.ravel()[chosen] = best
    return out
