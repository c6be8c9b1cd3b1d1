"""Drawn stages: as asked, repeatable, in the picture, and blind to the condition."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.objects.grounds import GROUNDS
from pipelines.studio.plug import CONDITIONS, FiringEnd, sample_plug
from pipelines.studio.staging import (
    ARRANGEMENTS,
    ROWS,
    Stage,
    part_of,
    sample_empty,
    sample_stage,
)
from pipelines.studio.staging.poses import VIEW_DEGREES

PLAIN = ("grey paint",)
SIZE = (320, 240)


def _plug(seed: int = 1) -> FiringEnd:
    return sample_plug(seed, "normal")


def _nose(stage: Stage, k: int = 0) -> np.ndarray:
    return (stage.poses[k] @ np.array([0, 0, stage.plugs[k].projection, 1.0]))[:3]


def _angle(stage: Stage) -> float:
    to_camera = np.subtract(stage.scene.view.origin, _nose(stage))
    cosine = stage.poses[0][:3, 2] @ to_camera / np.linalg.norm(to_camera)
    return float(np.degrees(np.arccos(cosine)))


@pytest.mark.parametrize("view", VIEW_DEGREES)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_each_arrangement_shows_the_firing_end_in_the_view_asked_for(
    arrangement: str, view: str
) -> None:
    plugs = [_plug(k) for k in range(3 if arrangement in ROWS else 1)]
    for seed in (3, 4):
        stage = sample_stage(plugs, seed, PLAIN, view, size=SIZE, arrangement=arrangement)
        assert stage.arrangement == arrangement and stage.ground == "grey paint"
        low, high = VIEW_DEGREES[view]
        # The frame's middle, not the nose, lies on the chosen line, and a lying plug cannot be
        # looked at from below the bench: a few degrees either way.
        assert low - 14 < _angle(stage) < high + 14
        for k in range(len(plugs)):
            x, y = stage.scene.view.project(_nose(stage, k)[None])[0]
            assert 0 < x < SIZE[0] and 0 < y < SIZE[1]


def test_share_of_the_picture_is_as_asked() -> None:
    for share in (0.03, 0.2, 0.8):
        stage = sample_stage(_plug(), 5, PLAIN, "oblique", size=SIZE, share=share)
        across = stage.scene.view.px_per_mm(_nose(stage)) * 2 * _plug().rim_radius
        assert across / min(SIZE) == pytest.approx(share, rel=0.15)


def test_what_is_drawn_does_not_depend_on_the_condition() -> None:
    for seed in range(4):
        plugs = [replace(_plug(seed), condition=c) for c in CONDITIONS]  # type: ignore[arg-type]
        stages = [sample_stage(p, seed, tuple(GROUNDS), "oblique", size=SIZE) for p in plugs]
        for other in stages[1:]:
            assert other.ground == stages[0].ground
            assert other.lights == stages[0].lights
            assert other.scene.view == stages[0].scene.view
            assert [i.name for i in other.scene.items if i.name != "drops"] == [
                i.name for i in stages[0].scene.items if i.name != "drops"
            ]


def test_item_names_are_unique_and_tell_the_plug() -> None:
    stage = sample_stage([_plug(1), _plug(2)], 6, ("clutter on wood",), "oblique", size=SIZE)
    names = [item.name for item in stage.scene.items]
    assert len(set(names)) == len(names)
    assert {part_of(n) for n in names} >= {("nose", 1), ("nose", 2)}


@pytest.mark.parametrize("reference", ["chart", "grey_card", "bench_card", "tile grid"])
def test_references_lie_in_the_picture_and_say_what_was_done_to_them(reference: str) -> None:
    states = set()
    for seed in range(6):
        stage = sample_stage(
            _plug(), seed, PLAIN, "oblique", size=SIZE, share=0.15, reference=reference
        )
        (placed,) = stage.references
        pixels = stage.scene.view.project(placed.corners)
        inside = ((pixels >= 0) & (pixels <= np.array(SIZE))).all(axis=1)
        if "whole" in placed.state:
            assert inside.all()
        assert ("cut off" in placed.state) != ("whole" in placed.state)
        assert (stage.card_corners is not None) == (reference == "bench_card")
        states |= set(placed.state)
    assert "whole" in states


def test_lamp_groups_share_all_but_the_light() -> None:
    stage = next(
        s
        for s in (sample_stage(_plug(), k, PLAIN, "end_on", size=SIZE, mixed=1.0) for k in range(2))
        if s.lights is not None and len(s.lights.groups) == 2
    )
    first, second = stage.under(0), stage.under(1)
    assert first == stage.scene
    assert second.items is first.items and second.view == first.view
    assert second.lighting != first.lighting


def test_an_empty_stage_has_no_plug_and_repeats() -> None:
    for seed in range(5):
        stage = sample_empty(seed, tuple(GROUNDS), size=SIZE)
        assert stage.plug is None and stage.plugs == ()
        assert not {part_of(i.name)[0] for i in stage.scene.items} & {"nose", "shell", "strap"}
        again = sample_empty(seed, tuple(GROUNDS), size=SIZE)
        assert again.scene.view == stage.scene.view and again.lights == stage.lights


def test_only_the_holders_gloves_and_parts_that_are_allowed_are_drawn() -> None:
    seen, parts = set(), set()
    for seed in range(24):
        stage = sample_stage(
            _plug(seed), seed, ("clutter on wood",), "oblique", size=SIZE,
            holders=("fingers",), gloves=("nitrile_green",), loose=("coin",),
        )  # fmt: skip
        seen.add(stage.arrangement)
        parts |= {i.name.partition("_")[2] for i in stage.scene.items if i.name[:5] == "loose"}
        gloves = [i for i in stage.scene.items if i.name.startswith("finger")]
        assert all(i.surface.layers[0].matter.name == "nitrile_green" for i in gloves)
    assert seen == {"standing", "lying", "fingers"}
    assert parts == {"coin"}


def test_what_cannot_be_set_up_is_refused() -> None:
    with pytest.raises(ValueError, match="no view called"):
        sample_stage(_plug(), 1, PLAIN, "above")
    with pytest.raises(ValueError, match="name at least one"):
        sample_stage(_plug(), 1, (), "side")
    with pytest.raises(ValueError, match="do not go with"):
        sample_stage([_plug(), _plug()], 1, PLAIN, "side", arrangement="fingers")
