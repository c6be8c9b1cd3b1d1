"""What conditions and findings do to a plug's shape."""

import numpy as np
import pytest

from pipelines.studio.plug import FAMILIES, FINDINGS, FiringEnd, sample_plug

J = "m14-gasket-projected-nickel-j"


def _with(finding: str, number: int = 120, family: str | None = None) -> list[FiringEnd]:
    names = FAMILIES if family is None else [family]
    return [sample_plug(s, None, families=names, findings=[finding]) for s in range(number)]


def test_most_but_not_all_overheated_plugs_are_burnt_round() -> None:
    wear = [sample_plug(s, "chalk_white", families=FAMILIES).wear for s in range(300)]
    assert 0.7 < np.mean(np.array(wear) > 0.5) < 0.9


def test_unused_plugs_are_square_and_mixtures_lie_between() -> None:
    for seed in range(40):
        assert sample_plug(seed, "unused", families=FAMILIES).wear == 0.0
    mixed = [
        sample_plug(s, "chalk_white", families=[J], shares={"chalk_white": 0.6, "normal": 0.4})
        for s in range(200)
    ]
    ends = [
        np.mean([sample_plug(s, c, families=[J]).wear for s in range(200)])
        for c in ("normal", "chalk_white")
    ]
    assert ends[0] + 0.1 < np.mean([plug.wear for plug in mixed]) < ends[1] - 0.1


def test_worn_plugs_have_rounded_electrodes_and_a_wider_gap() -> None:
    for plug in _with("worn"):
        fresh = sample_plug(plug.seed, None, families=FAMILIES, findings=["dust"])
        assert plug.wear > 0.6
        assert fresh.gap <= plug.gap <= 2.0
    wider = [
        p.gap - sample_plug(p.seed, None, families=[J], findings=["dust"]).gap
        for p in _with("worn", family=J)
    ]
    assert np.mean(wider) > 0.3


def test_a_bridged_gap_is_filled_or_closed_up() -> None:
    plugs = _with("bridged")
    assert all(plug.bridge == 1.0 or plug.gap <= 0.1 for plug in plugs)
    assert any(plug.bridge == 0.0 for plug in plugs)


def test_cracked_noses_are_cracked_or_chipped_where_the_strap_does_not_hide_it() -> None:
    plugs = _with("cracked")
    assert all(plug.crack > 0 or plug.chip > 0 for plug in plugs)
    assert any(plug.crack == 0 for plug in plugs) and any(plug.chip == 0 for plug in plugs)
    for plug in plugs:
        for turn in [plug.crack_turn] * (plug.crack > 0) + [plug.chip_turn] * (plug.chip > 0):
            away = (turn - plug.strap_turn + 180) % 360 - 180
            assert abs(away) >= 59.9


def test_pre_ignition_takes_the_electrode_or_the_strap() -> None:
    for plug in _with("pre_ignition"):
        assert plug.melt > 0
        assert plug.electrode_out <= 0.4 or plug.strap_left < 1.0
    for plug in _with("pre_ignition", family=J):
        if plug.strap_left == 1.0:
            # The strap stays where it was: the lost length is in the gap.
            before = sample_plug(plug.seed, None, families=[J], findings=["dust"])
            assert plug.underside == pytest.approx(before.underside)
            assert plug.gap == pytest.approx(before.gap + plug.electrode_lost)
        else:
            assert plug.gap_mm is None


def test_mechanical_damage_bends_the_strap() -> None:
    for plug in _with("mechanical"):
        if plug.strap_kind == "surface":
            assert plug.chip > 0
        else:
            assert plug.strap_tilt != 0 or plug.strap_sideways != 0


def test_metal_specks_bring_beads_and_detonation_sometimes_breaks_the_nose() -> None:
    assert min(plug.balls for plug in _with("metal_specks")) >= 8
    broken = np.mean([plug.chip > 0 for plug in _with("detonation", 300)])
    assert 0.2 < broken < 0.5


def test_findings_are_kept_in_one_order_and_those_of_the_cover_leave_the_shape() -> None:
    plug = sample_plug(4, "normal", families=FAMILIES, findings=["worn", "ash"])
    assert plug.findings == ("ash", "worn")
    plain = sample_plug(4, "normal", families=FAMILIES)
    for finding in set(FINDINGS) - {
        "bridged",
        "worn",
        "cracked",
        "pre_ignition",
        "detonation",
        "metal_specks",
        "mechanical",
    }:
        marked = sample_plug(4, "normal", families=FAMILIES, findings=[finding])
        assert marked.family == plain.family
        assert (marked.gap, marked.wear, marked.chip) == (plain.gap, plain.wear, plain.chip)
