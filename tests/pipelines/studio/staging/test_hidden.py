"""What stands before a sheet hides its share of it; what lies in, behind or beside it does not."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import Mesh, transformed
from pipelines.studio.geometry.pose import translation
from pipelines.studio.geometry.sheet import plane
from pipelines.studio.staging.hidden import hidden_share
from pipelines.studio.view import View

VIEW = View(
    (0.0, 0.0, 300.0), (0.0, 0.0, 0.0), (0.0, 1.0, 0.0), 30.0, 160, 120, 0.5, (0.0, 0.0, 0.0)
)
SHEET = np.array([[-30.0, 20.0, 0.0], [30.0, 20.0, 0.0], [30.0, -20.0, 0.0], [-30.0, -20.0, 0.0]])


def _plate(width: float, height: float, x: float, z: float) -> Mesh:
    return transformed(plane(width, height), translation(x, 0.0, z))


def test_a_plate_over_a_third_hides_a_third() -> None:
    assert hidden_share(VIEW, SHEET, [_plate(20, 60, 0.0, 2.0)]) == pytest.approx(1 / 3, abs=0.07)
    assert hidden_share(VIEW, SHEET[::-1], [_plate(90, 60, 0.0, 2.0)]) == 1.0


def test_what_lies_in_it_behind_it_beside_it_or_behind_the_camera_hides_nothing() -> None:
    places = ((0.0, 0.0), (0.0, 0.3), (0.0, -5.0), (60.0, 2.0), (0.0, 320.0))
    assert hidden_share(VIEW, SHEET, [_plate(40, 40, x, z) for x, z in places]) == 0.0


def test_only_what_the_frame_shows_counts() -> None:
    wide = SHEET * [4.0, 1.0, 1.0]
    assert hidden_share(VIEW, wide, [_plate(60, 60, 110.0, 2.0)]) == 0.0
    away = np.add(SHEET, [500.0, 0.0, 0.0])
    assert hidden_share(VIEW, away, [_plate(90, 60, 500.0, 2.0)]) == 0.0
