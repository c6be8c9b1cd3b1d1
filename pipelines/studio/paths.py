"""Paths of light through a scene, all sixteen bands on each (needs Mitsuba).

Mitsuba traces the rays; its own integrators carry four wavelengths a path, which would cost four
times the rays. Lamps are sought by next-event estimation and by chance, weighed by the balance
heuristic; the room's glow, which is even, by chance alone.
"""

from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi

from pipelines.studio.materials.skin import GROUPS, Skins, fetch, lobes, sample
from pipelines.studio.shine import Shine, lamp_seen, room, towards_lamp
from pipelines.studio.surfaces import Things, hidden, leaving, meet

DEEPEST = 7
"""Bounces of a path at most; from `ROULETTE` on it may end at random before."""
ROULETTE = 4


@dataclass(frozen=True)
class Lit:
    """A scene for the paths: its things, their maps, and the light."""

    things: Things
    skins: Skins
    shine: Shine


def radiance(lit: Lit, sampler: Any, ray: Any) -> tuple[list[Any], Any]:
    """Radiance along the rays in four packets of four bands, and the mean of what of it left the
    first thing seen by its mirror reflection.

    Lamps are of equal energy: their light is one number.
    """
    start = (
        [mi.Vector4f(0.0) for _ in range(GROUPS)],
        [mi.Vector4f(1.0) for _ in range(GROUPS)],
        mi.Float(0.0),
        mi.Float(0.0),
        mi.Ray3f(ray),
        mi.UInt32(0),
        mi.Float(1.0),
        mi.Bool(True),
        sampler,
    )
    end = dr.while_loop(
        state=start,
        cond=lambda *state: state[7],
        body=lambda *state: _bounce(lit, *state),
        label="paths",
    )
    return end[0], end[2]


def _bounce(
    lit: Lit,
    total: list[Any],
    weight: list[Any],
    glare: Any,
    mirrored: Any,
    ray: Any,
    depth: Any,
    density: Any,
    active: Any,
    sampler: Any,
) -> tuple[Any, ...]:
    """One bounce: light of what is met, light straight from a lamp, and where the path goes on.

    `weight` is what the path passes on, `mirrored` the share of it that left the first thing by its
    mirror, `density` that of the last direction.
    """
    first = depth == 0
    met = meet(lit.things, ray, active)
    glow, rival = lamp_seen(lit.shine, ray, dr.select(met.hit, met.t, 1e9))
    share = dr.select(first, 1.0, density / dr.maximum(density + rival, 1e-20))
    walls = dr.select(met.hit, 0.0, room(lit.shine, ray))
    own = dr.select(active, dr.select(glow > 0, glow * share, walls), 0.0)
    seen = [w * own for w in weight]

    active = met.hit & (glow <= 0) & (depth < DEEPEST)
    here = fetch(lit.skins, met.item, met.uv, active)

    spot, light, chosen = towards_lamp(
        lit.shine, met.point, sampler.next_1d(active), sampler.next_2d(active)
    )
    lit_side = active & (chosen > 0)
    way, dark = hidden(lit.things, met, spot, lit_side)
    scattered, mirror, chance = lobes(here, met.wi, met.frame.to_local(way), lit_side)
    useful = lit_side & (chance > 0) & ~dark
    coming = dr.select(useful, light / dr.maximum(chosen + chance, 1e-20), 0.0)
    straight = [w * s * coming for w, s in zip(weight, scattered, strict=True)]
    total = [t + a + b for t, a, b in zip(total, seen, straight, strict=True)]
    glare = glare + mirrored * _mean(seen) + dr.select(first, mirror, mirrored) * _mean(straight)

    out = sample(here, met.wi, sampler.next_1d(active), sampler.next_2d(active))
    values, mirror, chance = lobes(here, met.wi, out, active)
    good = active & (chance > 1e-9)
    passed = dr.select(good, 1 / dr.maximum(chance, 1e-9), 0.0)
    weight = [w * v * passed for w, v in zip(weight, values, strict=True)]
    most = dr.max(dr.maximum(dr.maximum(weight[0], weight[1]), dr.maximum(weight[2], weight[3])))
    survives = dr.select(depth >= ROULETTE - 1, dr.minimum(most, 0.95), 1.0)
    active = good & (most > 0) & (sampler.next_1d(active) < survives)
    weight = [w / dr.maximum(survives, 1e-6) for w in weight]
    return (
        total,
        weight,
        glare,
        dr.select(first, mirror, mirrored),
        leaving(met, met.frame.to_world(out)),
        depth + 1,
        chance,
        active,
        sampler,
    )


def _mean(packets: list[Any]) -> Any:
    return dr.mean(sum(packets)) / GROUPS
