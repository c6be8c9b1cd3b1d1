"""Layers mix as their covers say; solid noise covers the share that was asked for."""

import numpy as np
import pytest

from pipelines.studio.geometry.sheet import plane
from pipelines.studio.materials.noise import patches
from pipelines.studio.materials.spectra import matter
from pipelines.studio.materials.surface import Layer, Surface, reflectance, slopes, texel_points


def test_half_cover_gives_the_mean_of_two_spectra() -> None:
    soot, ceramic = matter("soot"), matter("ceramic")
    surface = Surface((Layer(ceramic), Layer(soot, np.full((8, 8), 0.5))))
    got = reflectance(surface, np.array([[0.3, 0.4], [0.99, 0.01]]))
    wanted = (soot.reflectance + ceramic.reflectance) / 2
    assert got == pytest.approx(np.stack([wanted, wanted]))


def test_patches_cover_the_share() -> None:
    points = texel_points(plane(40, 40), 200, 200)
    for share in (0.1, 0.5, 0.9):
        assert patches(points / 2.0, 3, share, 0.05).mean() == pytest.approx(share, abs=0.03)
    assert patches(points, 3, 0.0, 0.1).max() == 0.0


def test_slopes_are_millimetres_by_millimetre() -> None:
    points = texel_points(plane(20, 10), 100, 200)
    surface = Surface((Layer(matter("paper")),), 0.3 * points[..., 0], points=points)
    along, across = np.moveaxis(slopes(surface), -1, 0)
    assert along == pytest.approx(0.3, abs=1e-4)  # texels are single precision
    assert across == pytest.approx(0.0, abs=1e-4)  # texels are single precision


def test_a_relief_without_points_is_refused() -> None:
    surface = Surface((Layer(matter("paper")),), np.zeros((4, 4)))
    with pytest.raises(ValueError, match="points"):
        slopes(surface)
