"""Holders: closed bodies that grip behind the seat and leave the firing end to be seen."""

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import is_watertight, volume
from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.geometry.pose import rotation
from pipelines.studio.plug import sample_plug
from pipelines.studio.staging.holders import GLOVES, HOLDERS, lifted
from pipelines.studio.staging.poses import VIEW_DEGREES


@pytest.mark.parametrize("name", HOLDERS)
def test_holders_are_closed_and_stay_behind_the_threads(name: str) -> None:
    for seed in range(4):
        plug = sample_plug(seed, "normal")
        made = HOLDERS[name](plug, np.random.default_rng(seed))
        for _, mesh, _ in made:
            assert is_watertight(mesh)
            assert volume(mesh) > 0
        top = max(float(mesh.vertices[:, 2].max()) for _, mesh, _ in made)
        assert top < 0.0
        assert len({n for n, _, _ in made}) == len(made)


@pytest.mark.parametrize("glove", GLOVES)
def test_every_hand_touches_the_plug_and_leaves_the_nose_to_be_seen(glove: str) -> None:
    for seed in (0, 3):
        plug = sample_plug(seed, "normal")
        made = HOLDERS["fingers"](plug, np.random.default_rng(seed), glove)
        meshes = {n: m.vertices for n, m, _ in made}
        assert {"finger_thumb", "finger_index", "finger_middle", "palm"} <= set(meshes)
        assert any(n.startswith("nail") for n in meshes) == (glove == "skin")
        body = np.concatenate([plug_parts(plug)[n].vertices[::3] for n in ("hex", "upper")])
        for name in ("finger_thumb", "finger_index"):
            points = meshes[name][::3]
            near = np.linalg.norm(points[:, None] - body[None], axis=2).min()
            assert near < 1.5
        # Seen from the furthest side view there is, no part of it stands before the nose.
        most = np.radians(max(high for _, high in VIEW_DEGREES.values()) - 90.0)
        every = np.concatenate(list(meshes.values()))
        assert np.all(every[:, 2] < -np.tan(most) * np.hypot(every[:, 0], every[:, 1]))


def test_thumb_and_index_finger_pinch_from_two_sides() -> None:
    for seed in range(4):
        plug = sample_plug(seed, "normal")
        made = {n: m for n, m, _ in HOLDERS["fingers"](plug, np.random.default_rng(seed), "skin")}
        tips = [made[f"finger_{n}"].vertices[:400, :2].mean(axis=0) for n in ("thumb", "index")]
        assert tips[0] @ tips[1] < 0


def test_fingers_grow_into_one_hand() -> None:
    plug = sample_plug(1, "normal")
    made = {n: m for n, m, _ in HOLDERS["fingers"](plug, np.random.default_rng(1), "skin")}
    for name in ("thumb", "index", "middle", "ring", "little"):
        finger = made[f"finger_{name}"].vertices
        palm = made["palm"].vertices[::5]
        assert np.linalg.norm(finger[-200:, None] - palm[None], axis=2).min() < 2.0


def test_an_unknown_glove_is_refused() -> None:
    with pytest.raises(ValueError, match="no glove called 'mitten'"):
        HOLDERS["fingers"](sample_plug(1, "normal"), np.random.default_rng(1), "mitten")


def test_a_lifted_arm_does_not_come_out_of_the_bench() -> None:
    plug = sample_plug(2, "normal")
    made = HOLDERS["fingers"](plug, np.random.default_rng(2))
    every = np.concatenate([m.vertices for _, m, _ in made])
    for degrees in (0.0, 40.0, 90.0):
        pose = rotation("y", degrees)
        raised = lifted(made, pose)
        assert raised[:3, 2] == pytest.approx(pose[:3, 2])
        low, before = ((every @ p[:3, :3].T)[:, 2].min() for p in (raised, pose))
        assert low >= before - 0.5


def test_pliers_grip_from_both_sides() -> None:
    plug = sample_plug(2, "normal")
    made = {n: m for n, m, _ in HOLDERS["pliers"](plug, np.random.default_rng(2))}
    tips = [made[f"jaw_{k}"].vertices for k in (0, 1)]
    near = [v[np.hypot(v[:, 0], v[:, 1]).argmin()][:2] for v in tips]
    assert near[0] @ near[1] < 0
