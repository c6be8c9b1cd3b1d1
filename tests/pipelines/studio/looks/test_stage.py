"""What the adapter hands to the studio is what the job says."""

from dataclasses import replace

import pytest

from pipelines.studio.looks.job import job
from pipelines.studio.looks.look import look
from pipelines.studio.looks.stage import (
    BENCHES,
    firing_ends,
    flat_bench,
    lamp_names,
    stage_of,
)
from pipelines.studio.materials.backdrops import BACKDROPS
from pipelines.studio.materials.surface import detail
from pipelines.studio.staging import ROWS


def test_a_bench_under_a_card_is_one_of_the_looks_own() -> None:
    seen = {name: {flat_bench(job(name, i)) for i in range(400)} for name in ("train", "report")}
    assert all(bench in BACKDROPS for benches in seen.values() for bench in benches)
    assert not seen["train"] & seen["report"]
    assert set(BENCHES.values()) <= set(BACKDROPS)


def test_the_plugs_are_those_that_were_drawn() -> None:
    for index in range(30):
        drawn = job("report", index)
        if drawn.plug is None:
            with pytest.raises(ValueError, match="has no plug"):
                firing_ends(drawn)
            continue
        plugs = firing_ends(drawn)
        assert len({plug.seed for plug in plugs}) == len(plugs)
        for plug, choice in zip(plugs, (drawn.plug, *drawn.row), strict=True):
            assert plug.condition == choice.condition
            assert set(choice.findings) <= set(plug.findings)
            assert plug.mixture == pytest.approx(dict(choice.shares))
            assert plug.family.name == choice.family
            assert plug.pale == choice.pale


def test_a_row_is_set_up_as_a_row_with_every_plug() -> None:
    drawn = next(j for j in (job("report", i) for i in range(400)) if len(j.row) == 1)
    with detail(0.1):
        stage = stage_of(drawn)
    assert stage.arrangement in ROWS
    name = lamp_names(stage)
    assert name == stage.scene.lighting.illuminant or " and " in name
    assert [p.seed for p in stage.plugs] == [p.seed for p in firing_ends(drawn)]


@pytest.mark.parametrize("name", ["train", "report"])
def test_held_plugs_are_held_by_what_the_look_allows(name: str) -> None:
    single = next(j for j in (job(name, i) for i in range(99)) if j.plug and not j.round_plug)
    seen = set()
    for index in range(8):
        with detail(0.1):
            stage = stage_of(replace(single, row=(), seed=look(name).seed(index)))
        seen.add(stage.arrangement)
    assert seen <= {"standing", "lying", *look(name).holders}
    assert seen & set(look(name).holders)


def test_a_stored_light_is_no_flash_and_lets_no_shadow_pass() -> None:
    single = next(j for j in (job("train", i) for i in range(99)) if j.plug and not j.round_plug)
    changed = 0
    for index in range(24):
        drawn = replace(single, row=(), reference="no_reference", seed=look("train").seed(index))
        with detail(0.1):
            before = stage_of(drawn)
            after = stage_of(replace(drawn, reference="stored_light"))
        assert before.lights is not None and after.lights is not None
        assert after.lights.kind != "flash" and after.lights.shade is None
        assert all(item.name != "shade" for item in after.scene.items)
        assert after.scene.lighting == after.lights.groups[0]
        if before.lights.kind != "flash":
            assert after.lights.groups == before.lights.groups
        changed += before.lights != after.lights
    assert changed >= 3
