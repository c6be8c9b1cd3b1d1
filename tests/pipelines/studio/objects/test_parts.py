"""Parts that are no plug: closed, standing on the ground, repeatable, of known matters."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.materials.world import matter
from pipelines.studio.objects.parts import OBJECTS, pieces


@pytest.mark.parametrize("name", OBJECTS)
def test_pieces_are_closed_face_outwards_and_stand_on_the_ground(name: str) -> None:
    for seed in range(1, 9):
        made = pieces(name, seed)
        for _, mesh, metal in made:
            assert is_watertight(mesh)
            assert volume(mesh) > 0
            assert 0 < matter(metal).reflectance.max() <= 1
        assert len({n for n, _, _ in made}) == len(made)
        assert min(m.vertices[:, 2].min() for _, m, _ in made) == pytest.approx(0, abs=0.2)


def test_a_seed_repeats_and_another_differs() -> None:
    for name in OBJECTS:
        one, again, other = (
            np.concatenate([mesh.vertices for _, mesh, _ in pieces(name, seed)])
            for seed in (5, 5, 8)
        )
        assert np.array_equal(one, again)
        assert not np.array_equal(one, other), name


SIZES = {
    "nut": (8, 60), "washer": (4, 75), "plain ring": (8, 60), "threaded stud": (9, 100),
    "recessed screw": (8, 60), "screwdriver bit": (20, 75), "ball bearing": (16, 65),
    "gear": (17, 80), "pulley": (35, 102), "brake disc": (110, 212), "caster wheel": (27, 80),
    "chain link": (15, 100), "piston": (36, 90), "valve seat": (21, 70), "valve spring": (15, 100),
    "oil filter": (50, 100), "air filter": (55, 125), "thermostat": (38, 65),
    "rubber bush": (15, 90), "brake pad": (44, 92), "tube": (11, 130), "pipe elbow": (15, 170),
    "pipe fitting": (10, 80), "hose clamp": (14, 80), "carburettor jet": (8, 35),
    "nozzle": (8, 45), "carburettor float": (30, 75), "stepped rod": (24, 92),
    "connector": (8, 45), "switch": (15, 48), "turning knob": (13, 42), "light bulb": (10, 100),
    "relay": (20, 48), "bottle cap": (20, 42), "socket": (14, 62), "drill chuck": (27, 52),
    "tap": (49, 96), "stacked tins": (35, 200),
}  # fmt: skip
"""Least and greatest length in mm that such parts have (our estimate)."""


@pytest.mark.parametrize("name", SIZES)
def test_parts_are_as_large_as_such_parts_are(name: str) -> None:
    for seed in range(6):
        points = np.concatenate([mesh.vertices for _, mesh, _ in pieces(name, seed)])
        assert np.isfinite(points).all()
        assert SIZES[name][0] <= np.ptp(points, axis=0).max() <= SIZES[name][1]
        # Few enough triangles that a heap of them is set up at once.
        assert len(points) < 160_000


def test_a_kind_comes_in_several_matters() -> None:
    for name in SIZES:
        seen = {metal for seed in range(14) for _, _, metal in pieces(name, seed)}
        assert len(seen) >= 3, name


def test_all_kinds_wanted_are_there_and_others_are_named() -> None:
    wanted = {
        "bolt", "bulb base", "pen", "drill bit", "injector", "sensor", "valve", "fuse",
        "ceramic knob", "coin", "coil spring", "hose end",
    }  # fmt: skip
    assert wanted <= set(OBJECTS)
    with pytest.raises(KeyError, match="known: bolt"):
        pieces("banana", 1)
