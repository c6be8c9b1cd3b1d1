"""Resting and looking: closed forms of simple bodies, angles as asked."""

import numpy as np
import pytest

from pipelines.studio.objects.shapes import turned
from pipelines.studio.staging.poses import (
    WIDE_LENS,
    Aim,
    axis_towards,
    look,
    lying_pose,
    opened,
    towards,
)


def test_a_cone_lies_on_its_side() -> None:
    cone = turned([(0, 0), (10, 0), (2, 40), (0, 40)], corner=0.0, sides=360).vertices
    pose = lying_pose(cone, 15.0, 33.0)
    laid = cone @ pose[:3, :3].T + pose[:3, 3]
    assert laid[:, 2].min() == pytest.approx(0, abs=1e-9)
    # Half angle of the cone: atan(8 / 40); its axis dips by it towards the thin end.
    assert pose[2, 2] == pytest.approx(-np.sin(np.arctan(8 / 40)), abs=1e-3)
    touching = laid[laid[:, 2] < 0.02]
    assert np.ptp(touching @ pose[:3, 2]) > 35


def test_ways_keep_their_angle_and_stay_above_the_horizon() -> None:
    rng = np.random.default_rng(2)
    for degrees in (0.0, 12.0, 45.0, 90.0):
        axis = np.array([0.6, 0.0, 0.8])
        way = towards(axis, degrees, rng, 0.1)
        assert np.degrees(np.arccos(way @ axis)) == pytest.approx(degrees, abs=1e-3)
        assert way[2] >= 0.1
        pose = axis_towards(axis, degrees, rng)
        assert np.degrees(np.arccos(pose[:3, 2] @ axis)) == pytest.approx(degrees, abs=1e-3)
        assert np.linalg.det(pose[:3, :3]) == pytest.approx(1.0)


def test_what_is_looked_at_takes_its_share_and_stays_in_the_picture() -> None:
    for seed, share in enumerate((0.03, 0.1, 0.4, 0.8)):
        rng = np.random.default_rng(seed)
        way = np.array([0.3, -0.4, np.sqrt(0.75)])
        aim = Aim(np.array([5.0, 2.0, 9.0]), way, 13.0, share)
        view = look(aim, (640, 480), rng, aim.point)
        assert view.px_per_mm(aim.point) * 13.0 == pytest.approx(share * 480, rel=0.05)
        x, y = view.project(aim.point[None])[0]
        assert 0 < x < 640 and 0 < y < 480
        assert 1 < view.fov < 72


def test_a_wide_lens_turns_up_now_and_then_and_goes_with_the_distance() -> None:
    aim = Aim(np.zeros(3), np.array([0.0, 0.0, 1.0]), 13.0, 0.5)
    ratios = []
    for seed in range(300):
        rng = np.random.default_rng(seed)
        view = look(aim, (320, 240), rng, aim.point)
        assert 0.4 <= view.aperture <= 1.6
        wide = opened(view, rng)
        assert wide.origin == view.origin and wide.aperture >= view.aperture
        if wide.aperture > view.aperture:
            distance = np.linalg.norm(np.subtract(view.focus, view.origin))
            ratios.append(wide.aperture / distance)
    # 300 draws: the share to 3.5 standard deviations of 0.026.
    assert len(ratios) / 300 == pytest.approx(WIDE_LENS, abs=0.1)
    assert min(ratios) >= 0.015 and max(ratios) <= 0.045
