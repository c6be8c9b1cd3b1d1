"""A bridge reaches across the gap; beads sit on nose and electrode."""

import numpy as np
import pytest

from pipelines.studio.geometry.deposits import beads, bridge
from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.geometry.parts import centre_electrode, nose
from pipelines.studio.plug import FAMILIES, sample_plug

KINDS = [name for name, kind in FAMILIES.items() if kind.nose != "recessed"]


@pytest.mark.parametrize("family", KINDS)
def test_a_bridge_touches_both_electrodes(family: str) -> None:
    for seed in range(4):
        plug = sample_plug(seed, "dry_black", families=[family], bridge=1.0)
        points = bridge(plug).vertices
        if plug.has_side_straps or plug.strap_kind == "surface":
            radius = np.hypot(points[:, 0], points[:, 1])
            assert radius.min() < plug.electrode / 2 + 0.05
            assert radius.max() > plug.electrode / 2 + plug.gap - 0.05
        else:
            assert points[:, 2].min() < plug.electrode_top
            assert points[:, 2].max() > plug.underside


def test_a_bridge_that_fills_half_of_the_gap_does_not_reach_the_strap() -> None:
    plug = sample_plug(1, "dry_black", bridge=0.5, gap=1.2)
    assert bridge(plug).vertices[:, 2].max() < plug.underside - 0.1


def test_beads_are_as_many_as_asked_and_sit_on_metal_or_ceramic() -> None:
    plug = sample_plug(2, None, findings=["metal_specks"])
    body, rod = nose(plug), centre_electrode(plug)
    mesh = beads(plug, body, rod)
    assert is_watertight(mesh) and volume(mesh) > 0
    # Every bead is a round of rings that begins and ends on a point.
    rows, columns = mesh.grid or (0, 0)
    grid = mesh.vertices.reshape(rows, columns, 3)
    poles = np.ptp(grid, axis=1).max(axis=1) < 1e-9
    assert poles.sum() == 2 * plug.balls
    surface = np.concatenate([body.vertices, rod.vertices])
    starts = np.nonzero(poles)[0][::2]
    ends = np.nonzero(poles)[0][1::2]
    for start, end in zip(starts, ends, strict=True):
        centre = (grid[start, 0] + grid[end, 0]) / 2
        assert np.linalg.norm(surface - centre, axis=1).min() < 1e-6
