"""Cracks, chips and melting: where they are said to be, and nowhere else."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.geometry.damage import broken, crack_distance, slumped
from pipelines.studio.geometry.mesh import volume
from pipelines.studio.geometry.parts import centre_electrode, nose
from pipelines.studio.plug import FiringEnd, sample_plug


def _plug() -> FiringEnd:
    return sample_plug(5, "normal")


def test_a_whole_nose_has_neither_crack_nor_fracture() -> None:
    points = nose(_plug()).vertices
    assert np.isinf(crack_distance(_plug(), points)).all()
    assert broken(_plug(), points).max() == 0.0


def test_a_crack_runs_down_one_side_to_its_depth() -> None:
    plug = replace(_plug(), crack=3.0, crack_turn=120.0)
    mesh = nose(plug)
    distance = crack_distance(plug, mesh.vertices)
    near = mesh.vertices[distance < 0.05]
    depth = plug.projection - near[:, 2]
    assert depth.max() == pytest.approx(3.0, abs=0.15)
    assert depth.min() < 0.15  # it begins on the end face
    turn = np.degrees(np.arctan2(near[:, 1], near[:, 0]))
    assert np.abs((turn - 120 + 180) % 360 - 180).max() < 65
    # It is a groove: there the wall lies deeper than beside it.
    wall = (plug.projection - mesh.vertices[:, 2] > 1.0) & (
        plug.projection - mesh.vertices[:, 2] < 2.5
    )
    radius = np.hypot(*mesh.vertices[:, :2].T)
    outer = wall & (radius > plug.nose_tip / 2 - 0.3)
    assert (
        radius[outer & (distance < 0.03)].mean()
        < radius[outer & (distance > 0.3) & (distance < 0.6)].mean() - 0.05
    )


def test_a_chip_takes_away_ceramic_on_its_side_only() -> None:
    whole = _plug()
    plug = replace(whole, chip=1.0, chip_turn=30.0, chip_slope=40.0)
    lost = volume(nose(whole)) - volume(nose(plug))
    assert 0.3 < lost < 12.0
    more = replace(plug, chip=1.6)
    assert volume(nose(more)) < volume(nose(plug))
    points = nose(plug).vertices
    face = points[broken(plug, points) > 0.9]
    turn = np.degrees(np.arctan2(face[:, 1], face[:, 0]))
    off = np.abs((turn - 30 + 180) % 360 - 180)
    assert len(face) > 200
    assert np.percentile(off, 90) < 90


def test_a_tip_broken_off_leaves_the_electrode_standing_in_what_is_left() -> None:
    plug = replace(_plug(), chip=2.5, chip_turn=0.0, chip_slope=80.0)
    assert nose(plug).vertices[:, 2].max() < plug.projection - 1.0
    foot = centre_electrode(plug).vertices[:, 2].min()
    assert foot < plug.projection - 2.5 - 1.0


def test_molten_metal_moves_only_above_the_given_height() -> None:
    mesh = centre_electrode(_plug())
    above = _plug().electrode_top - 0.6
    moved = np.linalg.norm(slumped(mesh, 0.3, 0.8, 3, above).vertices - mesh.vertices, axis=1)
    assert moved[mesh.vertices[:, 2] <= above].max() == 0.0
    assert 0.02 < moved.max() < 0.6
