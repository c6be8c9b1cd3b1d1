"""Basic bodies against their closed forms."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.objects.shapes import bend, box, capsule, hose, tube, turned

STRAIGHT = np.stack([np.zeros(60), np.zeros(60), np.linspace(0, 40, 60)], 1)


def test_volumes_are_those_of_the_formulas() -> None:
    cylinder = np.pi * 25 * 40
    assert volume(tube(STRAIGHT, np.full(60, 5.0), 128)) == pytest.approx(cylinder, rel=3e-3)
    round_ends = cylinder + 4 / 3 * np.pi * 125
    assert volume(capsule(STRAIGHT, np.full(60, 5.0), 128)) == pytest.approx(round_ends, rel=0.01)
    bored = hose(STRAIGHT, 5.0, 3.0, 20, 128)
    deep = 40 / 59 * 19
    assert volume(bored) == pytest.approx(cylinder - np.pi * 9 * deep, rel=3e-3)
    plain = turned([(0, 0), (5, 0), (5, 40), (0, 40)], corner=0.0, sides=256)
    assert volume(plain) == pytest.approx(cylinder, rel=1e-3)
    assert volume(box(30, 20, 10, 0.5)) == pytest.approx(6000, rel=0.01)


def test_bent_bodies_stay_closed() -> None:
    path = bend([(0, 0, 0), (0, 0, 20), (15, 0, 30), (30, 10, 30)], 50)
    for mesh in (tube(path, np.full(50, 4.0)), capsule(path, np.full(50, 4.0)),
                 hose(path, 4.0, 2.5, 8)):  # fmt: skip
        assert is_watertight(mesh)
        assert volume(mesh) > 0


def test_a_bend_keeps_its_ends_and_even_steps() -> None:
    path = bend([(0, 0, 0), (0, 0, 20), (15, 0, 30)], 30)
    assert path[0] == pytest.approx([0, 0, 0]) and path[-1] == pytest.approx([15, 0, 30])
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    assert np.ptp(steps) < 0.05 * steps.mean()
