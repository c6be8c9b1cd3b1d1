"""Meshes: closed, outward, and the welding that says so."""

import numpy as np
import pytest

from pipelines.studio.geometry.lathe import lathe, resampled
from pipelines.studio.geometry.mesh import Mesh, chained, is_watertight, joined, transformed, volume
from pipelines.studio.geometry.pose import translation
from pipelines.studio.geometry.sweep import circle, sweep


def _cylinder(radius: float, height: float, sides: int) -> Mesh:
    profile = np.array([[0, 0], [radius, 0], [radius, height], [0, height]], dtype=float)
    return lathe(resampled(profile, 0.5), sides)


def test_a_cylinder_holds_the_volume_of_its_polygon() -> None:
    # Area of a regular polygon of n sides: n/2 · r² · sin(2π/n) (closed form).
    for sides in (8, 64, 200):
        area = sides / 2 * 3.0**2 * np.sin(2 * np.pi / sides)
        assert volume(_cylinder(3.0, 5.0, sides)) == pytest.approx(5.0 * area, rel=1e-9)


def test_a_hole_or_a_turned_face_is_noticed() -> None:
    mesh = _cylinder(2.0, 3.0, 24)
    assert is_watertight(mesh)
    middle = len(mesh.faces) // 2
    torn = Mesh(mesh.vertices, np.delete(mesh.faces, middle, axis=0), mesh.uv)
    assert not is_watertight(torn)
    turned = mesh.faces.copy()
    turned[middle] = turned[middle][::-1]
    assert not is_watertight(Mesh(mesh.vertices, turned, mesh.uv))


def test_a_swept_wire_is_closed_and_points_outwards() -> None:
    t = np.linspace(0, 4 * np.pi, 200)
    path = np.stack([5 * np.cos(t), 5 * np.sin(t), 0.8 * t], 1)
    side = np.stack([np.cos(t), np.sin(t), 0 * t], 1)
    wire = sweep(path, side, circle(0.5, 24))
    length = np.linalg.norm(np.diff(path, axis=0), axis=1).sum()
    assert is_watertight(wire)
    assert volume(wire) == pytest.approx(np.pi * 0.25 * length, rel=0.03)


def test_joined_meshes_keep_their_volumes() -> None:
    a, b = _cylinder(1.0, 1.0, 12), _cylinder(2.0, 1.0, 12)
    assert volume(joined([a, b])) == pytest.approx(volume(a) + volume(b))


def test_a_chain_of_closed_grids_is_closed_and_one_grid() -> None:
    first = _cylinder(1.0, 1.0, 12)
    second = transformed(_cylinder(0.5, 2.0, 12), translation(4.0, 0.0, 0.5))
    both = chained([first, second])
    assert both.grid == (first.grid[0] + second.grid[0], 13)  # type: ignore[index]
    assert is_watertight(both)
    assert volume(both) == pytest.approx(volume(first) + volume(second))
    with pytest.raises(ValueError, match="grid"):
        chained([joined([first, second])])
    open_end = lathe(np.array([[1.0, 0.0], [1.0, 1.0]]), 12)
    with pytest.raises(ValueError, match="on a point"):
        chained([first, open_end])
