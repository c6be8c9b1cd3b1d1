"""Plugs between two looks: one cover lies on another, with the shares of the nose as asked for.

Source of the four patterns: our estimate, after what is seen on part-fouled plugs.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Literal

import numpy as np

from pipelines.studio.materials.films import PASSES, thickness_of
from pipelines.studio.materials.noise import fractal
from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place
from pipelines.studio.materials.surface import Layer, Map, Surface

Pattern = Literal["patchy", "one_sided", "ring", "even"]
PATTERNS: tuple[Pattern, ...] = ("patchy", "one_sided", "ring", "even")

ORDER = ("unused", "normal", "chalk_white", "dry_black", "wet_black")
"""From the bottom up: what is burnt on lies under what settles on it."""

_BARE = ("ceramic", "nickel", "noble", "steel", "plating")


def pattern_of(seed: int) -> Pattern:
    """The pattern in which a plug's looks are mixed."""
    return PATTERNS[int(np.random.default_rng([seed, 23]).integers(len(PATTERNS)))]


def covered(nose: Place, share: float, pattern: Pattern, salt: int = 0) -> Callable[[Place], Map]:
    """A function of any part of the plug that gives the cover of the upper look, 0..1.

    Its mean over the visible nose is `share`, to 0.01; the other parts follow the same pattern.
    """
    seed = nose.plug.seed + 500 + salt
    rng = np.random.default_rng([seed, 24])
    inward = bool(rng.random() < 0.5)
    size = rng.uniform(1.2, 2.8)
    soft = {"patchy": 0.75, "one_sided": 0.6, "ring": 0.5, "even": 3.0}[pattern]

    def pattern_at(p: Place) -> Map:
        cloud = fractal(p.points / np.float32(size), seed, 4)
        if pattern == "patchy":
            return cloud
        if pattern == "one_sided":
            return p.side + 0.35 * cloud
        if pattern == "ring" and p.part == "nose":
            # From the middle of the end face outwards and down the nose, in mm.
            out = np.where(p.z > p.plug.projection - 0.4, p.radius, p.plug.nose_tip / 2 + p.depth)
            return 0.6 * (-out if inward else out) + 0.3 * cloud
        return 0.8 * cloud

    return partial(_cover, pattern_at, _level(pattern_at(nose), nose.visible, share, soft), soft)


def _cover(pattern_at: Callable[[Place], Map], level: float, soft: float, p: Place) -> Map:
    return np.clip((pattern_at(p) - level) / soft + 0.5, 0.0, 1.0)


def _level(field: Map, weight: Map, share: float, soft: float) -> float:
    """The level at which the cover's weighted mean is `share`, by halving."""
    seen = weight > 0
    f, w = field[seen][::3], weight[seen][::3]
    if len(f) == 0:
        return float(np.quantile(field, 1 - share))
    w = w / w.sum()
    low, high = float(f.min()) - soft, float(f.max()) + soft
    for _ in range(24):
        middle = (low + high) / 2
        if w @ np.clip((f - middle) / soft + 0.5, 0.0, 1.0) > share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def laid_over(below: Surface, above: Surface, cover: Map) -> Surface:
    """One surface over another where `cover` is 1; where it is between, films are thinner.

    The upper one's bare part is left out: the lower one has it already.
    """
    added = []
    for k, layer in enumerate(above.layers):
        if k == 0 and layer.matter.name in _BARE:
            continue
        if layer.film is not None:
            # A half-laid film keeps back half as much light: thin soot, not a mist of dots.
            opacity = (1 - PASSES**layer.film) * cover
            added.append(replace(layer, film=thickness_of(opacity)))
        else:
            own = 1.0 if layer.cover is None else layer.cover
            added.append(Layer(layer.matter, np.asarray(own * cover, np.float32)))
    return Surface(
        (*below.layers, *added),
        _blend(below.height, above.height, cover),
        _blend(below.swell, above.swell, cover),
        below.points,
    )


def _blend(a: Map | None, b: Map | None, cover: Map) -> Map | None:
    if a is None and b is None:
        return None
    first = 0.0 if a is None else a
    second = 0.0 if b is None else b
    return np.asarray(first + cover * (second - first), np.float32)


def mixed_looks(
    shares: Mapping[str, float],
    looks: Mapping[str | None, Callable[[Place, Shelf], Surface]],
    covers: Mapping[str, Callable[[Place], Map]],
    place: Place,
    shelf: Shelf,
) -> Surface:
    """The looks of one part, laid over one another from `ORDER`'s bottom up."""
    names = [name for name in ORDER if shares.get(name, 0.0) > 0]
    surface = looks[names[0] if names else None](place, shelf)
    for name in names[1:]:
        surface = laid_over(surface, looks[name](place, shelf), covers[name](place))
    return surface


def covers_of(nose: Place, shares: Mapping[str, float]) -> dict[str, Callable[[Place], Map]]:
    """How much of what lies below it each look covers, by name, but for the lowest."""
    names = [name for name in ORDER if shares.get(name, 0.0) > 0]
    pattern = pattern_of(nose.plug.seed)
    below, out = 0.0, {}
    for k, name in enumerate(names):
        total = below + shares[name]
        if k > 0:
            out[name] = covered(nose, shares[name] / total, pattern, 10 * k)
        below = total
    return out
