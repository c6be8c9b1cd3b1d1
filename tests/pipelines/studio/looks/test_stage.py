"""What the adapter hands to the studio is what the job says."""

import pytest

pytest.importorskip("mitsuba")

from pipelines.studio.looks.job import job
from pipelines.studio.looks.stage import BENCHES, firing_end, flat_bench
from pipelines.studio.materials.backdrops import BACKDROPS


def test_a_bench_under_a_card_is_one_of_the_looks_own() -> None:
    seen = {name: {flat_bench(job(name, i)) for i in range(400)} for name in ("train", "report")}
    assert all(bench in BACKDROPS for benches in seen.values() for bench in benches)
    assert not seen["train"] & seen["report"]
    assert set(BENCHES.values()) <= set(BACKDROPS)


def test_the_plug_is_the_one_that_was_drawn() -> None:
    for index in range(30):
        drawn = job("report", index)
        if drawn.plug is None:
            with pytest.raises(ValueError, match="has no plug"):
                firing_end(drawn)
            continue
        plug = firing_end(drawn)
        assert plug.condition == drawn.plug.condition
        assert set(drawn.plug.findings) <= set(plug.findings)
        assert plug.mixture == pytest.approx(dict(drawn.plug.shares))
        assert plug.family.name == drawn.plug.family
        assert plug.pale == drawn.plug.pale
