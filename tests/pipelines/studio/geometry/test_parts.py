"""Firing ends: every part closed, measures as asked for, parts where they belong."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import Mesh, is_watertight, volume
from pipelines.studio.geometry.parts import centre_electrode, nose, plug_parts, strap
from pipelines.studio.plug import CONDITIONS, FAMILIES, FiringEnd, sample_plug

ALWAYS = {"shell", "hex", "upper", "terminal", "nose", "electrode"}


def _radius(mesh: Mesh) -> np.ndarray:
    return np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])


def _all_closed(plug: FiringEnd) -> None:
    for name, mesh in plug_parts(plug).items():
        assert np.isfinite(mesh.vertices).all(), name
        assert is_watertight(mesh), name
        assert volume(mesh) > 0, name
        assert mesh.grid is not None, name


@pytest.mark.parametrize("condition", CONDITIONS)
def test_all_parts_are_closed_and_point_outwards(condition: str) -> None:
    for seed in (1, 2):
        _all_closed(sample_plug(seed, condition))  # type: ignore[arg-type]


@pytest.mark.parametrize("family", FAMILIES)
def test_parts_of_every_family_are_closed_and_those_that_it_has(family: str) -> None:
    plug = sample_plug(8, "normal", families=[family])
    _all_closed(plug)
    wanted = set(ALWAYS)
    wanted |= {"gasket"} if plug.seat == "gasket" else set()
    wanted |= {"strap"} if plug.strap_kind != "surface" else set()
    assert set(plug_parts(plug)) == wanted


@pytest.mark.parametrize(
    "finding",
    ["worn", "bridged", "cracked", "pre_ignition", "detonation", "metal_specks", "mechanical"],
)
def test_parts_of_damaged_plugs_are_closed(finding: str) -> None:
    for seed in range(4):
        _all_closed(sample_plug(seed, None, families=FAMILIES, findings=[finding]))


def _measured_gap(plug: FiringEnd) -> float:
    """The gap as a feeler gauge finds it on the meshes."""
    electrode = centre_electrode(plug)
    if plug.strap_kind == "surface":
        shell = plug_parts(plug)["shell"]
        mouth = (shell.vertices[:, 2] > -1.5) & (shell.vertices[:, 2] < -0.5)
        return float(_radius(shell)[mouth].min() - _radius(electrode).max())
    over = strap(plug)
    if plug.has_side_straps:
        level = over.vertices[:, 2] > plug.underside - 0.1
        return float(_radius(over)[level].min() - plug.electrode / 2)
    above = _radius(over) < max(plug.electrode / 2, 0.45)
    return float(over.vertices[above, 2].min() - electrode.vertices[:, 2].max())


@pytest.mark.parametrize("family", FAMILIES)
def test_the_gap_on_the_mesh_is_the_plugs_gap(family: str) -> None:
    for seed in range(6):
        plug = sample_plug(seed, "normal", families=[family])
        assert plug.gap_mm == plug.gap
        assert _measured_gap(plug) == pytest.approx(plug.gap, abs=0.03)
    for gap in (0.4, 1.1):
        plug = sample_plug(9, "normal", families=[family], gap=gap)
        assert _measured_gap(plug) == pytest.approx(gap, abs=0.03)


def test_the_widest_gap_and_worn_gaps_are_on_the_mesh_too() -> None:
    family = ["m14-gasket-projected-nickel-j"]
    plug = sample_plug(2, "normal", families=family, gap=2.0)
    assert _measured_gap(plug) == pytest.approx(2.0, abs=0.03)
    for seed in range(6):
        plug = sample_plug(seed, None, families=family, findings=["worn"])
        # The round crater in a worn end is up to 0.14 mm deep in the middle, its rim is the end.
        assert _measured_gap(plug) == pytest.approx(plug.gap, abs=0.06)


def test_a_strap_knocked_down_touches_first_where_the_gap_says() -> None:
    plug = sample_plug(3, "normal", families=["m14-gasket-projected-nickel-j"])
    for tilt in (8.0, -12.0):
        bent = replace(plug, strap_tilt=tilt)
        mesh = strap(bent)
        above = _radius(mesh) < plug.electrode / 2
        lowest = mesh.vertices[above, 2].min() - plug.electrode_top
        assert lowest == pytest.approx(plug.gap, abs=0.06)
        end = strap(bent).vertices[:, 2].max() - strap(plug).vertices[:, 2].max()
        assert end > 0.1  # one end of the arm stands higher


def test_nose_ends_at_its_height_and_fits_into_the_bore() -> None:
    for seed in range(12):
        plug = sample_plug(seed, "chalk_white", families=FAMILIES)
        mesh = nose(plug)
        assert mesh.vertices[:, 2].max() == pytest.approx(plug.projection, abs=0.06)
        seen = (mesh.vertices[:, 2] > -2.0) & (mesh.vertices[:, 2] < 0.0)
        room = 0.02 if plug.strap_kind == "surface" else 0.35
        assert _radius(mesh)[seen].max(initial=0.0) < plug.bore_radius - room


def test_electrodes_have_the_width_of_their_kind() -> None:
    for seed in range(20):
        plug = sample_plug(seed, "unused", families=FAMILIES)
        mesh = centre_electrode(plug)
        end = mesh.vertices[:, 2] > plug.electrode_top - 0.25
        assert 2 * _radius(mesh)[end].max() == pytest.approx(plug.electrode, abs=0.01)
        if plug.centre == "fine_wire":
            assert 2 * _radius(mesh).max() == pytest.approx(plug.electrode_base, abs=0.01)


def test_worn_electrodes_are_rounder_than_new_ones() -> None:
    plug = sample_plug(5, "unused")
    assert volume(centre_electrode(replace(plug, wear=0.9))) < volume(centre_electrode(plug)) - 0.2
    assert volume(strap(replace(plug, wear=0.9))) < volume(strap(plug)) - 0.5


def test_side_straps_stand_evenly_round_the_electrode() -> None:
    for family, many in (
        ("m14-gasket-projected-nickel-double", 2),
        ("m14-gasket-projected-nickel-triple", 3),
    ):
        plug = sample_plug(6, "normal", families=[family])
        mesh = strap(plug)
        foot = mesh.vertices[mesh.vertices[:, 2] < 0.0]
        turns = np.degrees(np.arctan2(foot[:, 1], foot[:, 0])) - plug.strap_turn
        off = (turns + 180 / many) % (360 / many) - 180 / many
        assert np.abs(off).max() < 25.0
        assert len(np.unique(np.round((turns - off) / (360 / many)) % many)) == many


def test_a_strap_that_melted_away_is_not_there() -> None:
    gone = replace(sample_plug(1, "chalk_white"), strap_left=0.0)
    assert "strap" not in plug_parts(gone)
    assert gone.gap_mm is None
    with pytest.raises(ValueError, match="no strap"):
        strap(gone)
    short = replace(gone, strap_left=0.4, melt=0.8)
    whole = replace(gone, strap_left=1.0)
    assert volume(strap(short)) < 0.6 * volume(strap(whole))
