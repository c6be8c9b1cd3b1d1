"""What stands about hides nothing and is cut by the frame; the phone does not shade the subject."""

from dataclasses import replace

import cv2
import numpy as np

from pipelines.studio.lights.lamps import Lamp, Lighting
from pipelines.studio.lights.rigs import Lights
from pipelines.studio.staging.surroundings import BEHIND, GAP, half_seen, phone_item
from pipelines.studio.view import View

VIEW = View((0.0, -200.0, 300.0), (0, 0, 0), (0, 1, 0), 30.0, 320, 240, 0.5, (0, 0, 12.0))
BUSY = np.array([[x, y, z] for x in (-9.0, 0, 9) for y in (-9.0, 0, 9) for z in (0.0, 20)])
CARD = np.array([[30.0, 20, 0], [60, 20, 0], [60, -20, 0], [30, -20, 0]])


def _lights(place: tuple[float, float, float]) -> Lights:
    lamp = Lamp("disk", place, (0.0, 0.0, 0.0), (40.0, 40.0), 1.0)
    return Lights((Lighting("D65", (lamp,), 0.2, 1),), 0.0, "arm lamp", None, 0.0)


def test_things_hide_nothing_and_stand_clear() -> None:
    found = 0
    for seed in range(40):
        for item in half_seen(seed, VIEW, 0.0, BUSY, [CARD]):
            found += 1
            points = item.mesh.vertices
            assert points[:, 2].min() > -0.01
            hull = cv2.convexHull(VIEW.project(points).astype(np.float32))
            for kept in (*VIEW.project(BUSY), *VIEW.project(CARD)):
                assert cv2.pointPolygonTest(hull, tuple(float(v) for v in kept), False) < 0
            foot = cv2.convexHull(points[:, :2].astype(np.float32))
            for x, y, _ in CARD:
                assert cv2.pointPolygonTest(foot, (float(x), float(y)), True) < -GAP
    assert found > 10


def test_many_are_cut_by_the_frame_and_some_photos_have_none() -> None:
    made = [half_seen(seed, VIEW, 0.0, BUSY, []) for seed in range(40)]
    assert 4 < sum(not items for items in made) < 36
    pixels = [VIEW.project(i.mesh.vertices) for items in made for i in items]
    out = [bool(np.any((p < 0) | (p > [320, 240]))) for p in pixels]
    inside = [bool(np.any(np.all((p > 0) & (p < [320, 240]), axis=1))) for p in pixels]
    assert np.mean(out) > 0.3
    assert np.mean(inside) > 0.9


def test_a_ground_that_is_not_in_sight_gets_nothing() -> None:
    up = replace(VIEW, origin=(0.0, -200.0, 10.0), target=(0.0, 0.0, 260.0))
    assert not any(half_seen(seed, up, 0.0, BUSY, []) for seed in range(10))


def test_the_phone_is_behind_the_lens_and_reaches_up_to_it() -> None:
    item = phone_item(3, VIEW, _lights((300.0, 0.0, 200.0)), BUSY)
    assert item is not None
    right, down, forward = VIEW.axes()
    ahead = (item.mesh.vertices - np.array(VIEW.origin)) @ forward
    assert ahead.max() < -0.5 * BEHIND
    for way in (right, down):
        across = (item.mesh.vertices - np.array(VIEW.origin)) @ way
        assert across.min() < -5 and across.max() > 5


def test_the_phone_never_stands_in_its_own_light() -> None:
    middle = np.array(VIEW.origin) * 1.8
    hidden = [
        phone_item(seed, VIEW, _lights((middle[0], middle[1], middle[2])), BUSY)
        for seed in range(12)
    ]
    assert all(item is None for item in hidden)
