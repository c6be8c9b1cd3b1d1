"""Causes follow the evidence and the engine."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.causes.explanation import Engine
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.rank import (
    FLOOR,
    MOST_CAUSES,
    cause_probabilities,
    rank_word,
    ranked_causes,
)
from tipvision.condition.condition import LABELS, Condition

KNOWN = shipped_knowledge()
OIL_FOUR = ("rings_worn", "valve_seals", "oil_overfilled", "breather_blocked", "tipped_over")
OIL_TWO = ("premix_heavy", "oil_pump_high", "crank_seal_gearbox")


def _ids(condition: Condition, engine: Engine) -> list[str]:
    return [cause.id for cause in ranked_causes(condition, engine, KNOWN)]


# The trade's usual order, common practice: what stands first for each condition and engine.
def test_wet_black_four_stroke_points_to_rings_and_seals(make_condition) -> None:
    ids = _ids(make_condition("wet_black"), Engine("four", "carburettor"))
    assert {"rings_worn", "valve_seals"} <= set(ids[:3])


def test_wet_black_two_stroke_points_to_premix_pump_and_seal(make_condition) -> None:
    ids = _ids(make_condition("wet_black"), Engine("two", "carburettor"))
    assert set(ids[:3]) == set(OIL_TWO)


def test_dry_black_carburettor_points_to_a_rich_mixture(make_condition) -> None:
    ids = _ids(make_condition("dry_black"), Engine("four", "carburettor"))
    assert {"choke_on", "air_filter_dirty", "float_high"} <= set(ids)


def test_dry_black_injection_points_to_injector_and_sensor(make_condition) -> None:
    ids = _ids(make_condition("dry_black"), Engine("four", "injection"))
    assert {"injector_leaking", "sensor_fault"} <= set(ids)
    assert "choke_on" not in ids


@pytest.mark.parametrize("stroke", ["two", "four"])
@pytest.mark.parametrize("fuel", ["carburettor", "injection"])
def test_chalk_white_points_to_lean_heat_range_and_timing(make_condition, stroke, fuel) -> None:
    ids = _ids(make_condition("chalk_white"), Engine(stroke, fuel))
    assert ids[0] == "air_leak"
    assert {"plug_too_hot", "timing_advanced"} <= set(ids)


@pytest.mark.parametrize(
    ("finding", "first"),
    [
        ("fuel_wet", "weak_ignition"),
        ("worn", "plug_old"),
        ("glazed", "hard_use_after_slow"),
        ("coolant", "head_gasket_coolant"),
        ("dust", "air_filter_leaking"),
        ("metal_specks", "piston_damage"),
        ("bridged", "deposits_loose"),
        ("coloured", "fuel_additive"),
        ("detonation", "low_octane"),
        ("pre_ignition", "plug_too_hot"),
    ],
)
def test_a_finding_alone_points_to_its_cause(make_condition, finding, first) -> None:
    assert _ids(make_condition("none", **{finding: 0.9}), Engine())[0] == first


@pytest.mark.parametrize("label", ["normal", "unused"])
def test_a_settled_healthy_plug_has_no_causes(make_condition, label) -> None:
    assert _ids(make_condition({label: 0.6, "wet_black": 0.3}, (label,)), Engine()) == []


@given(st.from_type(Condition), st.from_type(Engine))
def test_no_cause_of_another_engine_is_named(condition: Condition, engine: Engine) -> None:
    for cause in ranked_causes(condition, engine, KNOWN):
        kind = KNOWN.causes[cause.id].kind
        assert engine.stroke is None or kind.stroke in (None, engine.stroke)
        assert engine.fuel is None or kind.fuel in (None, engine.fuel)


@pytest.mark.parametrize(("stroke", "foreign"), [("four", OIL_TWO), ("two", OIL_FOUR)])
def test_oil_of_the_other_stroke_is_ruled_out(make_condition, stroke, foreign) -> None:
    probabilities = cause_probabilities(make_condition("wet_black"), Engine(stroke), KNOWN)
    assert all(probabilities[id_] == 0 for id_ in foreign)


@given(st.from_type(Condition), st.from_type(Engine))
def test_ranks_are_ordered_few_and_above_the_floor(condition: Condition, engine: Engine) -> None:
    causes = ranked_causes(condition, engine, KNOWN)
    probabilities = [cause.probability for cause in causes]
    assert probabilities == sorted(probabilities, reverse=True)
    assert len(causes) <= MOST_CAUSES
    assert all(FLOOR <= p <= 1 for p in probabilities)
    assert sum(cause_probabilities(condition, engine, KNOWN).values()) <= 1 + 1e-9
    words = ["likely", "possible", "less likely"]
    ranks = [words.index(cause.rank_word) for cause in causes]
    assert ranks == sorted(ranks)


def test_the_mass_of_a_fault_goes_to_its_causes_and_no_further(make_condition) -> None:
    # By hand: 0.5 dry, 0.2 wet, 0.3 normal and no finding leave 0.7 for the causes together.
    condition = make_condition(
        {"normal": 0.3, "dry_black": 0.5, "wet_black": 0.2},
        ("dry_black", "normal", "wet_black"),
    )
    for engine in (Engine(), Engine("two"), Engine("four", "injection")):
        total = sum(cause_probabilities(condition, engine, KNOWN).values())
        assert total == pytest.approx(0.7)


@pytest.mark.parametrize(("stroke", "oil"), [("four", OIL_FOUR), ("two", OIL_TWO), (None, ())])
@given(share=st.floats(0, 0.8), more=st.floats(0.05, 0.2), other=st.sampled_from(LABELS))
def test_more_wet_black_means_more_oil(stroke, oil, share, more, other) -> None:
    def at(p: float) -> Condition:
        rest = dict.fromkeys(LABELS, 0.0)
        if other == "wet_black":
            rest["normal"] = 1 - p
        else:
            rest[other] = 1 - p
        rest["wet_black"] = p
        return Condition("wet_black", rest, ("wet_black",), 0.95, {})

    before, after = (
        cause_probabilities(at(p), Engine(stroke), KNOWN) for p in (share, share + more)
    )
    assert all(after[id_] > before[id_] for id_ in oil or (*OIL_FOUR, *OIL_TWO))


def test_an_unknown_stroke_lies_between_the_two(make_condition) -> None:
    condition = make_condition("wet_black")
    unknown = cause_probabilities(condition, Engine(), KNOWN)
    two = cause_probabilities(condition, Engine("two"), KNOWN)
    four = cause_probabilities(condition, Engine("four"), KNOWN)
    for id_, p in unknown.items():
        assert p == pytest.approx((two[id_] + four[id_]) / 2)


def test_an_untrained_or_faint_finding_says_nothing(make_condition) -> None:
    plain = cause_probabilities(make_condition("dry_black"), Engine(), KNOWN)
    for finding in (None, 0.0, 0.1):
        condition = make_condition("dry_black", coolant=finding)
        assert cause_probabilities(condition, Engine(), KNOWN) == plain


@pytest.mark.parametrize("engine", [Engine(stroke="six"), Engine(fuel="steam")])
def test_an_unknown_kind_of_engine_is_refused(make_condition, engine) -> None:
    with pytest.raises(ValueError, match="kind of engine"):
        ranked_causes(make_condition("normal"), engine, KNOWN)


def test_rank_words() -> None:
    assert [rank_word(p) for p in (0.9, 0.1, 0.04)] == ["likely", "possible", "less likely"]
