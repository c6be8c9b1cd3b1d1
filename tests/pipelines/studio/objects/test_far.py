"""What lies behind a ground: it joins it, rises behind the subject only, and is a valid surface."""

import numpy as np
import pytest

from pipelines.studio.geometry.sheet import plane
from pipelines.studio.materials.backdrops import backdrop
from pipelines.studio.objects.far import far_ground
from pipelines.studio.objects.grounds import GROUNDS, ground


def test_it_is_level_round_the_subject_and_rises_behind() -> None:
    near = backdrop("wood", plane(200, 200), 1, 4.0)
    for seed in range(5):
        mesh, surface = far_ground(near, -2.0, seed)
        v = mesh.vertices
        assert v[:, 2].min() == pytest.approx(-2.0)
        assert np.all(v[v[:, 1] < 450.0, 2] == pytest.approx(-2.0))
        assert v[:, 2].max() > 250.0
        for layer in surface.layers:
            if layer.cover is not None:
                assert layer.cover.min() >= 0 and layer.cover.max() <= 1


def test_from_afar_the_ground_has_the_matters_it_has_from_near() -> None:
    near = backdrop("steel", plane(200, 200), 1, 4.0)
    _, surface = far_ground(near, 0.0, 3)
    for own, far in zip(near.layers, surface.layers, strict=False):
        assert own.matter == far.matter
        if own.cover is not None and far.cover is not None:
            assert far.cover.mean() == pytest.approx(own.cover.mean(), abs=0.1)


@pytest.mark.parametrize("name", GROUNDS)
def test_a_low_camera_finds_ground_or_wall_behind_every_subject(name: str) -> None:
    # From 40 mm up and 200 mm before the subject, up to 15 degrees over the horizon.
    made = ground(name, 5, 90.0)
    every = np.concatenate([mesh.vertices for _, mesh, _ in made.pieces])
    behind = every[every[:, 1] > 0]
    rise = np.degrees(np.arctan2(behind[:, 2] - 40.0, behind[:, 1] + 200.0))
    assert rise.max() > 15.0
    # Nothing stands that high in front, where lamps and camera are.
    assert every[every[:, 1] < 0, 2].max() < 40.0
