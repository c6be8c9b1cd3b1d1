"""Holders: closed bodies that grip behind the seat and leave the firing end to be seen."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.plug import sample_plug
from pipelines.studio.staging.holders import HOLDERS


@pytest.mark.parametrize("name", HOLDERS)
def test_holders_are_closed_and_stay_behind_the_threads(name: str) -> None:
    for seed in range(5):
        plug = sample_plug(seed, "normal")
        made = HOLDERS[name](plug, np.random.default_rng(seed))
        for _, mesh, _ in made:
            assert is_watertight(mesh)
            assert volume(mesh) > 0
        top = max(float(mesh.vertices[:, 2].max()) for _, mesh, _ in made)
        assert top < 0.0
        assert len({n for n, _, _ in made}) == len(made)


def test_fingers_touch_the_hexagon_or_come_close() -> None:
    for seed in range(5):
        plug = sample_plug(seed, "normal")
        made = HOLDERS["fingers"](plug, np.random.default_rng(seed))
        for name, mesh, _ in made:
            if name.startswith("finger"):
                near = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1]).min()
                assert near < plug.hexagon / 2 + 3.0


def test_pliers_grip_from_both_sides() -> None:
    plug = sample_plug(2, "normal")
    made = {n: m for n, m, _ in HOLDERS["pliers"](plug, np.random.default_rng(2))}
    tips = [made[f"jaw_{k}"].vertices for k in (0, 1)]
    near = [v[np.hypot(v[:, 0], v[:, 1]).argmin()][:2] for v in tips]
    assert near[0] @ near[1] < 0
