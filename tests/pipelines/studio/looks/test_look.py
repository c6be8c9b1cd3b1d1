"""The split: what *report* may draw, no other look has."""

from itertools import pairwise

import pytest

from pipelines.studio.looks import LOOKS
from pipelines.studio.looks.look import Framing, look, look_of
from pipelines.studio.objects.parts import OBJECTS


def test_seeds_of_the_looks_do_not_meet() -> None:
    ranges = sorted(look(name).seeds for name in LOOKS)
    assert all(first <= last for first, last in ranges)
    assert all(a[1] < b[0] for a, b in pairwise(ranges))


@pytest.mark.parametrize(
    "field", ["families", "palettes", "backgrounds", "objects", "illuminants", "cameras"]
)
def test_report_shares_nothing_with_the_other_looks(field: str) -> None:
    own = set(getattr(look("report"), field))
    assert len(own) >= 3
    for other in ("train", "tune"):
        assert not own & set(getattr(look(other), field))


def test_parts_are_split_and_all_are_used() -> None:
    train, tune, report = (set(look(name).objects) for name in ("train", "tune", "report"))
    assert len(train) >= 30
    assert {"injector", "ceramic knob", "hose end", "heater rod"} < report
    assert 9 <= len(report) <= 12 and not report & (train | tune)
    assert tune - train == {"sensor", "pulley", "switch", "tap"}
    assert train | tune | report == set(OBJECTS)


def test_a_surface_gap_is_taught_and_another_held_out() -> None:
    taught = {f for f in look("train").families if f.endswith("surface")}
    assert taught == {"m10-gasket-flush-nickel-surface", "m12-gasket-flush-nickel-surface"}
    assert {f for f in look("report").families if f.endswith("surface")} == {
        "m14-gasket-flush-nickel-surface"
    }


def test_a_quarter_of_the_photos_show_no_plug() -> None:
    assert {look(name).plugs for name in LOOKS} == {0.75}


def test_report_has_gloves_and_a_holder_that_no_other_look_has() -> None:
    report = look("report")
    for other in (look("train"), look("tune")):
        assert not set(report.gloves) & set(other.gloves)
        assert "socket" not in other.holders
    assert len(report.gloves) >= 2 and "socket" in report.holders


def test_tune_has_things_that_train_has_not() -> None:
    for field in ("families", "palettes", "backgrounds", "objects", "illuminants", "cameras"):
        assert set(getattr(look("tune"), field)) - set(getattr(look("train"), field))


def test_report_can_be_made_as_large_as_it_must_be() -> None:
    report = look("report")
    first, last = report.seeds
    assert (last - first + 1) * report.plugs >= 3000
    assert (last - first + 1) * (1 - report.plugs) >= 1000


def test_unknown_look_and_seed_past_the_end_are_refused() -> None:
    with pytest.raises(ValueError, match="no look called"):
        look("trial")
    with pytest.raises(IndexError, match="photos 0 to"):
        look("tune").seed(10**7)


def test_report_keeps_the_framing_and_metals_it_always_had() -> None:
    own = look("report")
    assert own.framing == Framing((0.04, 0.75), 0.6) and own.web == 0.0
    assert own.used_metals == own.new_metals == ()


def test_every_seed_has_its_look() -> None:
    for name in LOOKS:
        for seed in look(name).seeds:
            found = look_of(seed)
            assert found is not None and found.name == name
    assert look_of(1) is None
