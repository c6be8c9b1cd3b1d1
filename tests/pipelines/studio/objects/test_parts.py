"""Parts that are no plug: closed, standing on the ground, repeatable, of known matters."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.materials.world import matter
from pipelines.studio.objects.parts import OBJECTS, pieces


@pytest.mark.parametrize("name", OBJECTS)
def test_pieces_are_closed_face_outwards_and_stand_on_the_ground(name: str) -> None:
    for seed in (1, 2):
        made = pieces(name, seed)
        for _, mesh, metal in made:
            assert is_watertight(mesh)
            assert volume(mesh) > 0
            assert 0 < matter(metal).reflectance.max() <= 1
        assert len({n for n, _, _ in made}) == len(made)
        assert min(m.vertices[:, 2].min() for _, m, _ in made) == pytest.approx(0, abs=0.1)


def test_a_seed_repeats_and_another_differs() -> None:
    for name in OBJECTS:
        one, again, other = (
            np.concatenate([mesh.vertices for _, mesh, _ in pieces(name, seed)])
            for seed in (5, 5, 8)
        )
        assert np.array_equal(one, again)
        assert not np.array_equal(one, other), name


def test_all_kinds_wanted_are_there_and_others_are_named() -> None:
    wanted = {
        "bolt", "bulb base", "pen", "drill bit", "injector", "sensor", "valve", "fuse",
        "ceramic knob", "coin", "coil spring", "hose end",
    }  # fmt: skip
    assert wanted <= set(OBJECTS)
    with pytest.raises(KeyError, match="known: bolt"):
        pieces("banana", 1)
