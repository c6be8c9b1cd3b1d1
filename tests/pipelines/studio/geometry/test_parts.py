"""Firing ends: every part closed, measures as asked for, parts where they belong."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.geometry.parts import nose, plug_parts, shell, strap
from pipelines.studio.plug import CONDITIONS, sample_plug


@pytest.mark.parametrize("condition", CONDITIONS)
def test_all_parts_are_closed_and_point_outwards(condition: str) -> None:
    for seed in (1, 2):
        for name, mesh in plug_parts(sample_plug(seed, condition)).items():  # type: ignore[arg-type]
            assert is_watertight(mesh), name
            assert volume(mesh) > 0, name


def test_thread_has_its_diameter_pitch_and_hand() -> None:
    plug = sample_plug(5, "normal")
    vertices = shell(plug).vertices
    radius = np.hypot(vertices[:, 0], vertices[:, 1])
    assert radius.max() == pytest.approx(plug.thread / 2, abs=0.01)
    # Roots along one line of the outer wall lie one pitch apart; a quarter turn to the left
    # (seen from the firing end) moves them by a quarter pitch away from the seat: right-hand.
    rows, columns = shell(plug).grid or (0, 0)
    grid = vertices.reshape(rows, columns, 3)

    def roots(column: int) -> np.ndarray:
        line = grid[:, column]
        r, z = np.hypot(line[:, 0], line[:, 1]), line[:, 2]
        outer = (r > 5.8) & (z > -9.5) & (z < -2.0)
        r, z = r[outer], z[outer]
        low = r < r.min() + 0.08
        groups = np.split(z[low], np.nonzero(np.diff(z[low]) > 0.5)[0] + 1)
        return np.array([g.mean() for g in groups])

    assert np.diff(roots(0)) == pytest.approx(plug.pitch, abs=0.1)
    shift = (roots((columns - 1) // 4)[1:4] - roots(0)[1:4]).mean() % plug.pitch
    assert shift == pytest.approx(plug.pitch / 4, abs=0.1)


def test_nose_and_strap_leave_the_gap() -> None:
    for seed in range(4):
        plug = sample_plug(seed, "normal")
        tip = nose(plug).vertices[:, 2].max()
        assert tip == pytest.approx(plug.projection, abs=0.06)
        over = strap(plug).vertices
        near_axis = over[np.hypot(over[:, 0], over[:, 1]) < 1.0]
        gap = near_axis[:, 2].min() - (plug.projection + plug.electrode_out)
        assert gap == pytest.approx(plug.gap, abs=0.02)


def test_nose_fits_into_the_bore() -> None:
    for seed in range(6):
        plug = sample_plug(seed, "chalk_white")
        vertices = nose(plug).vertices
        seen = vertices[vertices[:, 2] > -2.5]
        assert np.hypot(seen[:, 0], seen[:, 1]).max() < plug.bore_radius - 0.5
