"""Shared forms: closed, of the size asked for, recessed and toothed where they should be."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.objects.forms import (
    balls,
    bored,
    cross,
    dimples,
    disk,
    hexagonal,
    pressed,
    ring,
    round_ring,
    toothed,
    within,
)
from pipelines.studio.objects.shapes import turned


def test_rings_hold_the_volume_of_their_formulas() -> None:
    # Cylinder ring: pi (R^2 - r^2) h; torus: 2 pi^2 R r^2; both closed forms.
    flat = ring(4.0, 9.0, 1.0, 4.0, corner=0.01, sides=360)
    assert is_watertight(flat)
    assert volume(flat) == pytest.approx(np.pi * (81 - 16) * 3, rel=0.01)
    wire = round_ring(10.0, 3.0, 2.0, 360)
    assert is_watertight(wire)
    assert volume(wire) == pytest.approx(2 * np.pi**2 * 10 * 1.5**2, rel=0.02)


def test_balls_lie_in_a_circle_and_do_not_touch() -> None:
    mesh = balls(8, 20.0, 3.0, 5.0)
    assert is_watertight(mesh)
    assert volume(mesh) == pytest.approx(8 * 4 / 3 * np.pi * 27, rel=0.04)
    away = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    assert away.min() == pytest.approx(17, abs=0.1) and away.max() == pytest.approx(23, abs=0.1)


def test_a_recess_has_the_outline_asked_for() -> None:
    points = bored([(6.0, 0), (6.0, 10.0)], 4.0, 5.0)
    six = turned(points, 0.0, 240, within(hexagonal(6.0), 4.0, 4.99))
    assert is_watertight(six)
    top = six.vertices[np.abs(six.vertices[:, 2] - 10.0) < 1e-6]
    away = np.hypot(top[:, 0], top[:, 1])
    # The mouth's walls run between half the width across flats and the corners.
    walls = away[(away > 2.9) & (away < 3.5)]
    assert walls.min() == pytest.approx(3.0, abs=0.02)
    assert walls.max() == pytest.approx(3.0 / np.cos(np.pi / 6), abs=0.02)
    angle = np.array([0.0, np.pi / 4, np.pi / 2])
    assert cross(1.0, 4.0)(np.ones(3), np.ones(3), angle) == pytest.approx([4, 2**0.5, 4])


def test_teeth_are_as_many_as_asked_for() -> None:
    # From the axis up to its wall the outline has one row of points at each height inside.
    gear = turned([(0, 0), (10, 0), (10, 4), (0, 4)], 0.0, 360, toothed(12, 8, 10, 3, 7))
    wall = gear.vertices[np.abs(gear.vertices[:, 2] - 2.0) < 0.1]
    away = np.hypot(wall[:, 0], wall[:, 1])
    assert away.min() == pytest.approx(8, abs=0.01) and away.max() == pytest.approx(10, abs=0.01)
    assert np.count_nonzero(np.diff((away > 9).astype(int)) == 1) == 12


def test_dimples_sink_the_top_face_alone() -> None:
    whole = disk(20.0, 0.0, 6.0)
    sunk = pressed(whole, 6.0, dimples(5, 12.0, 3.0, 2.0))
    assert is_watertight(sunk)
    moved = whole.vertices[:, 2] - sunk.vertices[:, 2]
    assert moved.max() == pytest.approx(2.0)
    assert np.all(moved[whole.vertices[:, 2] < 5.9] == 0)
    away = np.hypot(whole.vertices[:, 0], whole.vertices[:, 1])
    assert np.all(np.abs(away[moved > 0.1] - 12) < 3.4)
