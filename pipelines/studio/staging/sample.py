"""Drawing a stage from a seed: plugs, how they are held, ground, light, references, camera.

Every matter has a random stream of its own, made from the seed alone, and none looks at a plug's
condition: neither ground nor lamp nor camera can tell it. Source of all ranges: our estimate.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipelines.studio.geometry.mesh import Array, transformed
from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.lights.rigs import sample_lights
from pipelines.studio.lights.spectra import ILLUMINANTS
from pipelines.studio.objects.grounds import Ground, ground
from pipelines.studio.objects.parts import OBJECTS
from pipelines.studio.plug import FiringEnd
from pipelines.studio.references.flat import LOOK_ALIKES, flat
from pipelines.studio.scenery import Item, Scene
from pipelines.studio.staging.extras import (
    laid_beside,
    litter,
    shade_item,
    shaded,
)
from pipelines.studio.staging.holders import HOLDERS, lifted
from pipelines.studio.staging.others import CLOSE, laid_out
from pipelines.studio.staging.poses import (
    VIEW_DEGREES,
    Aim,
    axis_towards,
    look,
    lying_pose,
    opened,
    outline_of,
    towards,
)
from pipelines.studio.staging.settled import filled, settled
from pipelines.studio.staging.stage import Placed, Stage, plug_items
from pipelines.studio.staging.surroundings import half_seen, phone_item
from pipelines.studio.view import View

HELD = ("fingers", "pliers")
ROWS = ("row standing", "row lying")
ARRANGEMENTS = ("standing", "lying", "socket", *HELD, *ROWS)
SHARES_OF = {"standing": 0.18, "lying": 0.24, "socket": 0.10, "fingers": 0.38, "pliers": 0.10}
"""How often a single plug is arranged so, where all of it is allowed."""

PRESSES = (-2.0, 40.0)
"""Heights in mm over the ground between which things dent it."""

SHARES = (0.03, 0.8)
"""Least and greatest share of the picture's shorter side that a firing end's width takes."""


@dataclass(frozen=True)
class _Set:
    """Plugs in their places: poses, holder's items, the level of the ground."""

    poses: tuple[Array, ...]
    holders: tuple[Item, ...]
    level: float


def sample_stage(
    plugs: FiringEnd | Sequence[FiringEnd],
    seed: int,
    allowed_backgrounds: Sequence[str],
    view: str,
    *,
    illuminants: Sequence[str] = ILLUMINANTS,
    size: tuple[int, int] = (640, 480),
    share: float | None = None,
    arrangement: str | None = None,
    reference: str | None = None,
    mixed: float = 0.3,
    holders: Sequence[str] = tuple(HOLDERS),
    gloves: Sequence[str] | None = None,
    loose: Sequence[str] = tuple(OBJECTS),
) -> Stage:
    """Set up one plug, or a row of two to four, in one of the views of `VIEW_DEGREES`.

    `allowed_backgrounds` are names of `objects.grounds.GROUNDS`, `illuminants` those the lamps may
    have, `size` the render's width and height, `share` the firing end's width in the picture's
    shorter side (drawn from `SHARES` when None; made smaller where a row or a reference needs the
    room), `arrangement` one of `ARRANGEMENTS` (drawn when None), `reference` a name of
    `references.flat.FLATS` to lay beside, `mixed` the chance of two lamp groups. `holders`,
    `gloves` (None: any) and `loose` are what may hold it, the hand's gloves, and the parts that may
    lie about.

    Raises ValueError for a view, an arrangement or a number of plugs that does not fit, or when no
    background is allowed.
    """
    row = (plugs,) if isinstance(plugs, FiringEnd) else tuple(plugs)
    if view not in VIEW_DEGREES:
        raise ValueError(f"no view called {view!r}; known: {', '.join(VIEW_DEGREES)}")
    if not allowed_backgrounds:
        raise ValueError("no background is allowed: name at least one")
    kind = arrangement or _arrangement(seed, len(row), holders)
    if kind not in ARRANGEMENTS or not 1 <= len(row) <= 4 or (len(row) > 1) != (kind in ROWS):
        raise ValueError(f"{len(row)} plugs do not go with the arrangement {kind!r}")
    name = _ground_name(seed, allowed_backgrounds)
    rng = np.random.default_rng([seed, 51])
    degrees = float(rng.uniform(*VIEW_DEGREES[view]))
    wanted = _share(seed) if share is None else share
    placed = _placed(row, kind, degrees, seed, gloves)
    clear = np.random.default_rng([seed, 52])
    way = _way(placed.poses[0], kind, degrees, clear)
    busy = _busy(row, placed)
    for attempt in range(6):
        eye = _eye(row, placed, way, wanted * 0.72**attempt, size, seed)
        flats, truths, good = _reference(reference, seed, eye, busy, placed.level)
        if good:
            break
    if not truths and len(row) == 1:
        eye = opened(eye, np.random.default_rng([seed, 61]))
    base = ground(name, seed, _reach(eye, placed.level))
    lights = sample_lights(seed, illuminants, eye.origin, eye.focus, mixed)
    items = [
        item
        for k, (plug, pose) in enumerate(zip(row, placed.poses, strict=True), start=1)
        for item in plug_items(plug, pose, k)
    ]
    items += [*placed.holders, *flats]
    items += _around(seed, base, placed.level, eye, busy, truths, len(row), loose, items)
    shade = shade_item(lights, eye)
    lights = lights if shade is not None else replace(lights, shade=None)
    items += [shade] if shade is not None else []
    phone = phone_item(seed, eye, lights, _lit(busy, truths))
    items += [phone] if phone is not None else []
    truths = shaded(lights, truths)
    card = next((t.corners for t in truths if t.kind == "bench_card"), None)
    scene = Scene(tuple(items), lights.groups[0], eye, placed.poses[0])
    return Stage(scene, row[0], card, row, placed.poses, truths, lights, name, kind)


def sample_empty(
    seed: int,
    allowed_backgrounds: Sequence[str],
    *,
    illuminants: Sequence[str] = ILLUMINANTS,
    size: tuple[int, int] = (640, 480),
    objects: Sequence[str] = tuple(OBJECTS),
    reference: str | None = None,
    mixed: float = 0.3,
) -> Stage:
    """A photo without a plug: other parts as `others.laid_out` sets them, a look-alike, or nothing.

    `objects` are names of `objects.parts.OBJECTS`; the rest as in `sample_stage`.
    """
    if not allowed_backgrounds:
        raise ValueError("no background is allowed: name at least one")
    rng = np.random.default_rng([seed, 53])
    name = _ground_name(seed, allowed_backgrounds)
    laid = laid_out(objects, seed, rng)
    items = list(laid.items)
    points = outline_of([i.mesh.vertices for i in items]) if items else np.zeros((1, 3))
    close = laid.kind in CLOSE
    look_alike = str(rng.choice(LOOK_ALIKES)) if rng.random() < (0.08 if close else 0.25) else None
    # What is shown close up stays so: its reference may be cut off by the frame.
    for attempt in range(3 if close else 6):
        aim = replace(laid.aim, share=laid.aim.share * 0.72**attempt)
        eye = look(aim, size, np.random.default_rng([seed, 54]), aim.point)
        flats, truths, good = _reference(reference or look_alike, seed, eye, points, laid.level)
        if good:
            break
    if not truths:
        eye = opened(eye, np.random.default_rng([seed, 61]))
    base = ground(name, seed, _reach(eye, laid.level))
    lights = sample_lights(seed, illuminants, eye.origin, eye.focus, mixed)
    items += [*flats, *_around(seed, base, laid.level, eye, points, truths, 1, objects, items)]
    shade = shade_item(lights, eye)
    lights = lights if shade is not None else replace(lights, shade=None)
    items += [shade] if shade is not None else []
    phone = phone_item(seed, eye, lights, _lit(points, truths))
    items += [phone] if phone is not None else []
    truths = shaded(lights, truths)
    card = next((t.corners for t in truths if t.kind == "bench_card"), None)
    scene = Scene(tuple(items), lights.groups[0], eye, None)
    return Stage(scene, None, card, (), (), truths, lights, name, "no plug")


def _arrangement(seed: int, number: int, holders: Sequence[str]) -> str:
    rng = np.random.default_rng([seed, 50])
    if number > 1:
        return str(rng.choice(ROWS))
    allowed = [(n, p) for n, p in SHARES_OF.items() if n not in HOLDERS or n in holders]
    total = sum(p for _, p in allowed)
    return str(rng.choice([n for n, _ in allowed], p=[p / total for _, p in allowed]))


def _ground_name(seed: int, allowed: Sequence[str]) -> str:
    return str(np.random.default_rng([seed, 55]).choice(list(allowed)))


def _share(seed: int) -> float:
    low, high = np.log(SHARES)
    return float(np.exp(np.random.default_rng([seed, 56]).uniform(low, high)))


def _placed(
    row: Sequence[FiringEnd],
    kind: str,
    degrees: float,
    seed: int,
    gloves: Sequence[str] | None,
) -> _Set:
    rng = np.random.default_rng([seed, 57])
    if kind in HELD:
        glove = np.random.default_rng([seed, 60])
        worn = None if gloves is None else str(glove.choice(list(gloves)))
        made = HOLDERS[kind](row[0], rng, worn)
        # The hand comes from anywhere; the camera looks down on it, more or less.
        way = towards(np.array([0.0, 0.0, 1.0]), float(rng.uniform(5, 62)), rng, 0.0)
        pose = lifted(made, axis_towards(way, degrees, rng))
        depth = float(rng.uniform(15, 110))
        low = min(
            float(transformed(mesh, pose).vertices[:, 2].min())
            for n, mesh, _ in made
            if n != "palm"
        )
        return _Set((pose,), _items(made, pose), low - depth)
    if kind == "socket":
        made = HOLDERS["socket"](row[0], rng)
        lying = rng.random() < 0.45
        points = outline_of([m.vertices for _, m, _ in made] + _vertices(row[0]))
        pose = _lying(points, row[0], rng) if lying else _upright(points, rng)
        return _Set((pose,), _items(made, pose), 0.0)
    spacing = float(rng.uniform(27, 40)) * (1.0 if kind in ROWS else 0.0)
    lying = kind.endswith("lying")
    board = float(rng.choice([2.2, rng.uniform(6, 14), rng.uniform(20, 40)]))
    whole_turn = rotation("z", float(rng.uniform(0, 360)))
    poses = []
    for k, plug in enumerate(row):
        shift = translation((k - (len(row) - 1) / 2) * spacing, float(rng.normal(0, 1.5)), 0)
        if lying:
            jitter = rotation("z", float(rng.normal(0, 5)))
            pose = shift @ jitter @ _lying(outline_of(_vertices(plug)), plug, rng)
        else:
            # It stands in a hole of the board: hung by its seat, its hexagon or lower down.
            up = translation(0, 0, plug.reach + board)
            pose = shift @ up @ rotation("z", float(rng.uniform(0, 360)))
        poses.append(whole_turn @ pose)
    return _Set(tuple(poses), (), 0.0)


def _vertices(plug: FiringEnd) -> list[Array]:
    return [mesh.vertices for mesh in plug_parts(plug).values()]


def _lying(points: Array, plug: FiringEnd, rng: np.random.Generator) -> Array:
    return lying_pose(points, -plug.reach - float(rng.uniform(6, 22)), float(rng.uniform(0, 360)))


def _upright(points: Array, rng: np.random.Generator) -> Array:
    turn = rotation("z", float(rng.uniform(0, 360)))
    return translation(0, 0, -float(points[:, 2].min())) @ turn


def _items(made: Sequence[tuple[str, object, object]], pose: Array) -> tuple[Item, ...]:
    return tuple(Item(n, transformed(m, pose), s) for n, m, s in made)  # type: ignore[arg-type]


def _way(pose: Array, kind: str, degrees: float, rng: np.random.Generator) -> Array:
    """Direction to the camera. What is held was turned to it; it looks down on the rest."""
    lowest = 0.25 if kind in HELD else 0.09
    return towards(pose[:3, 2], degrees, rng, lowest)


def _nose(plug: FiringEnd, pose: Array) -> Array:
    return np.asarray((pose @ np.array([0.0, 0.0, plug.projection, 1.0]))[:3])


def _eye(
    row: Sequence[FiringEnd],
    placed: _Set,
    way: Array,
    share: float,
    size: tuple[int, int],
    seed: int,
) -> View:
    noses = np.array([_nose(p, m) for p, m in zip(row, placed.poses, strict=True)])
    middle = noses.mean(axis=0)
    mm = 2 * row[0].rim_radius
    if len(row) > 1:
        # All of a row stays in the picture.
        whole = float(np.linalg.norm(noses[-1] - noses[0])) + 30.0
        share = min(share, 0.95 * mm / whole)
    aim = Aim(middle, way, mm, share)
    eye = look(aim, size, np.random.default_rng([seed, 54]), noses[0])
    if len(row) > 1:
        shift = middle - np.array(eye.target)
        eye = replace(
            eye,
            target=(float(middle[0]), float(middle[1]), float(middle[2])),
            origin=tuple(float(v) for v in np.array(eye.origin) + shift),  # type: ignore[arg-type]
        )
    return eye


def _reach(eye: View, level: float = 0.0) -> float:
    """How far the ground at `level` must go round the subject to fill the picture, in mm."""
    away = np.subtract(eye.target, eye.origin)
    distance = float(np.linalg.norm(away)) + max(0.0, eye.target[2] - level)
    field = 2 * distance * float(np.tan(np.radians(eye.fov) / 2))
    steep = max(0.2, abs(float(away[2])) / float(np.linalg.norm(away)))
    beside = max(0.0, eye.target[2] - level) * np.sqrt(1 - min(1.0, steep) ** 2) / steep
    return float(np.clip(0.9 * field / steep + 0.6 * distance * (1 - steep) + beside, 70.0, 1100.0))


def _busy(row: Sequence[FiringEnd], placed: _Set) -> Array:
    """Points (n, 3) all over plugs and holders."""
    points = [
        transformed(mesh, pose).vertices[::23]
        for plug, pose in zip(row, placed.poses, strict=True)
        for mesh in plug_parts(plug).values()
    ]
    points += [i.mesh.vertices[::23] for i in placed.holders if i.name != "palm"]
    every = np.concatenate(points)
    return every[:: max(1, len(every) // 1500)]


def _reference(
    name: str | None, seed: int, eye: View, busy: Array, level: float
) -> tuple[list[Item], tuple[Placed, ...], bool]:
    if name is None:
        return [], (), True
    whole = np.random.default_rng([seed, 58]).random() < 0.75
    made = flat(name, seed)
    raised = level + 0.4
    items, truth, good = laid_beside(made, seed, eye, busy, raised, whole)
    if made.kind == "look_alike":
        truth = replace(truth, kind=name)
    # Only what must be seen whole is worth stepping back for.
    return items, (truth,), good or not whole


def _lit(busy: Array, truths: Sequence[Placed]) -> Array:
    """Points (n, 3) that should be in the light: the subject and the references."""
    return np.concatenate([busy[::11], *(filled(t.corners, 20.0) for t in truths)])


def _around(
    seed: int,
    base: Ground,
    level: float,
    eye: View,
    busy: Array,
    truths: Sequence[Placed],
    number: int,
    names: Sequence[str],
    subject: Sequence[Item],
) -> list[Item]:
    """The ground at its level, given way to what lies on it, and loose parts where it is littered.

    `subject` is what lies there already, but for the references of `truths`.
    """
    rng = np.random.default_rng([seed, 59])
    # The ground lies about what the camera looks at, its far side away from the camera.
    away = np.subtract(eye.target, eye.origin)
    turn = float(np.degrees(np.arctan2(away[1], away[0]))) - 90.0
    down = translation(eye.target[0], eye.target[1], level) @ rotation("z", turn)
    out = [Item(n, transformed(mesh, down), surface) for n, mesh, surface in base.pieces]
    many = int(rng.integers(3, 8)) if base.littered else int(rng.choice([0, 0, 0, 1, 2]))
    loose: list[Item] = []
    if many and (number <= 2 or base.littered):
        taken = np.concatenate([busy[:, :2], *(filled(t.corners, 6.0)[:, :2] for t in truths)])
        loose = litter(seed, eye, taken, _reach(eye) * 0.6, many, names)
        lowered = translation(0, 0, level)
        loose = [replace(i, mesh=transformed(i.mesh, lowered)) for i in loose]
    loose += half_seen(seed, eye, level, busy, [t.corners for t in truths])
    points = [i.mesh.vertices for i in (*subject, *loose)] + [filled(t.corners) for t in truths]
    under = np.concatenate(points) if points else np.zeros((0, 3))
    # What is held high above the ground does not press on it, nor what stands in a hole of it.
    height = under[:, 2] - level
    return settled(out, under[(height > PRESSES[0]) & (height < PRESSES[1])]) + loose
