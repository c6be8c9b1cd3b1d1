"""The chart under a photo's own lamps, as a shop photographs it once to store their light.

The lamps keep their places about the subject. The chart lies flat on the same bench, brought up to
where the firing end was, so that the lamps are as far from the one as from the other; the camera
looks down on it, from where no lamp mirrors in it. Needs no renderer. Source of all ranges: our
estimate.
"""

from dataclasses import replace

import numpy as np

from pipelines.studio.geometry.mesh import Array, transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.lights.lamps import Lamp
from pipelines.studio.objects.grounds import ground
from pipelines.studio.references.flat import Flat, flat
from pipelines.studio.scenery import Item, Scene
from pipelines.studio.staging.poses import three
from pipelines.studio.staging.settled import filled, settled
from pipelines.studio.staging.stage import Placed, Stage
from pipelines.studio.view import View

SIZE = (192, 144)
"""Picture of the chart, in pixels."""
FILLS = (0.56, 0.68)
"""Share of the picture that the chart spans, in that direction in which it spans more."""
WIDEST = 130.0
"""Widest chart in mm: larger ones are not even near a small lamp's light."""


def chart_stage(stage: Stage, seed: int, size: tuple[int, int] = SIZE) -> Stage:
    """The stage of the chart's photo that goes with a lit stage. The same arguments give the same.

    Raises ValueError for a stage without lights.
    """
    if stage.lights is None:
        raise ValueError("the stage has no lights whose chart could be photographed")
    rng = np.random.default_rng([seed, 62])
    eye, sheet = stage.scene.view, _small_chart(seed)
    spot = np.array(eye.focus)
    pose = translation(*eye.focus) @ rotation("z", float(rng.uniform(0, 360)))
    corners, field = (p @ pose[:3, :3].T + pose[:3, 3] for p in (sheet.corners, sheet.field))
    items = [Item(n, transformed(mesh, pose), surface) for n, mesh, surface in sheet.pieces]
    # The world lies as it does round the plug: what hides a lamp there hides it here.
    away = np.subtract(eye.target, eye.origin)
    turn = float(np.degrees(np.arctan2(away[1], away[0]))) - 90.0
    down = translation(spot[0], spot[1], spot[2] - 0.4) @ rotation("z", turn)
    bench = ground(stage.ground, seed, 2.0 * sheet.width)
    under = [Item(n, transformed(mesh, down), surface) for n, mesh, surface in bench.pieces]
    items += settled(under, filled(corners))
    main = stage.lights.groups[0].lamps[0]
    view = _above(corners, spot, main, size, rng)
    chart = Placed("chart", corners, field, ("whole",))
    scene = Scene(tuple(items), stage.lights.groups[0], view, None)
    return Stage(scene, None, None, (), (), (chart,), stage.lights, stage.ground, "chart alone")


def _small_chart(seed: int) -> Flat:
    drawn = (flat("chart", seed + k) for k in range(50))
    return next(made for made in drawn if made.width < WIDEST)


def _above(
    corners: Array, spot: Array, main: Lamp, size: tuple[int, int], rng: np.random.Generator
) -> View:
    """A camera that looks down on the chart, of some ways that which is furthest from the glare."""
    lamp = np.subtract(main.place, spot)
    mirrored = lamp / np.linalg.norm(lamp) * np.array([-1.0, -1.0, 1.0])
    ways = []
    for _ in range(8):
        tilt, azimuth = np.radians([rng.uniform(6, 30), rng.uniform(0, 360)])
        across = np.sin(tilt) * np.array([np.cos(azimuth), np.sin(azimuth)])
        ways.append(np.array([*across, np.cos(tilt)]))
    way = min(ways, key=lambda w: float(w @ mirrored))
    # The chart more or less upright or on its head, as it is read.
    up = corners[0] - corners[3]
    turn = float(rng.normal(0, 9) + rng.choice([0.0, 180.0], p=[0.8, 0.2]))
    up = rotation("z", turn)[:3, :3] @ up
    origin = spot + float(rng.uniform(230, 400)) * way
    width, height = size
    view = View(
        three(origin), three(spot), three(up / np.linalg.norm(up)), 30.0, width, height, 0.4,
        three(spot),
    )  # fmt: skip
    spans = np.ptp(view.project(corners), axis=0) / np.array(size)
    zoom = float(rng.uniform(*FILLS)) / float(spans.max())
    return replace(view, fov=float(np.degrees(2 * np.arctan(width / 2 / view.focal_px / zoom))))
