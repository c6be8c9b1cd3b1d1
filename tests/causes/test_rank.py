"""Causes follow the evidence, the engine and what was found on it."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipvision.causes.explanation import Engine
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.rank import (
    FLOOR,
    HINT_FROM,
    MOST_CAUSES,
    cause_probabilities,
    condition_weights,
    rank_word,
    ranked_causes,
)
from tipvision.condition.condition import FINDINGS, LABELS, Condition

KNOWN = shipped_knowledge()
OIL_FOUR = ("rings_worn", "valve_seals", "oil_overfilled", "breather_blocked", "tipped_over")
OIL_TWO = ("premix_heavy", "oil_pump_high", "crank_seal_gearbox")


def _ids(condition: Condition, engine: Engine) -> list[str]:
    probabilities = cause_probabilities(condition, engine, {}, KNOWN)
    return [cause.id for cause in ranked_causes(probabilities, KNOWN)]


# What may stand in a list of facts, each with an engine on which it can be told.
FACTS = [
    (fact.id, result, Engine(fact.kind.stroke, fact.kind.fuel))
    for fact in KNOWN.facts.values()
    for result in fact.usual
]
TINY = 1e-9  # below it a ratio is rounding
few = settings(max_examples=40)


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


@pytest.mark.parametrize(("label", "said"), [("normal", "runs_well"), ("unused", "not_run_yet")])
def test_a_settled_healthy_plug_has_no_fault(make_condition, label, said) -> None:
    assert _ids(make_condition({label: 0.6, "wet_black": 0.3}, (label,)), Engine()) == [said]


@few
@given(st.from_type(Condition), st.from_type(Engine))
def test_no_cause_of_another_engine_has_a_chance(condition: Condition, engine: Engine) -> None:
    for id_, p in cause_probabilities(condition, engine, {}, KNOWN).items():
        assert KNOWN.causes[id_].kind.fits(engine) or p == 0


@few
@given(st.from_type(Condition), st.from_type(Engine))
def test_probabilities_are_a_distribution(condition: Condition, engine: Engine) -> None:
    probabilities = cause_probabilities(condition, engine, {}, KNOWN)
    assert list(probabilities) == list(KNOWN.causes)
    assert min(probabilities.values()) >= 0
    assert sum(probabilities.values()) == pytest.approx(1)


@given(st.dictionaries(st.sampled_from(list(KNOWN.causes)), st.floats(0, 1)))
def test_ranks_are_ordered_few_and_above_the_floor(raw: dict[str, float]) -> None:
    causes = ranked_causes(dict.fromkeys(KNOWN.causes, 0.0) | raw, KNOWN)
    probabilities = [cause.probability for cause in causes]
    assert probabilities == sorted(probabilities, reverse=True)
    assert len(causes) <= MOST_CAUSES
    assert all(FLOOR <= p <= 1 for p in probabilities)
    words = ["likely", "possible", "less likely"]
    ranks = [words.index(cause.rank_word) for cause in causes]
    assert ranks == sorted(ranks)


def test_the_probability_of_a_condition_goes_to_its_causes(make_condition) -> None:
    # By hand: no finding is judged, so 0.7 for the blacks leaves 0.3 for what a normal plug has.
    condition = make_condition(
        {"normal": 0.3, "dry_black": 0.5, "wet_black": 0.2},
        ("dry_black", "normal", "wet_black"),
        **dict.fromkeys(FINDINGS),
    )
    normal = sum(
        c.share["four"].get("normal", 0)
        for c in KNOWN.causes.values()
        if c.kind.fits(Engine("four", "injection"))
    )
    p = cause_probabilities(condition, Engine("four", "injection"), {}, KNOWN)
    assert p["runs_well"] == pytest.approx(
        0.3 * KNOWN.causes["runs_well"].share["four"]["normal"] / normal
    )


def test_what_a_photo_rules_out_does_not_count_where_all_that_is_left_is_healthy() -> None:
    shares = {"normal": 0.6, "unused": 0.2, "chalk_white": 0.2}
    settled = Condition("normal", shares, ("normal", "unused"), 0.95, {})
    assert condition_weights(settled) == pytest.approx({"normal": 0.75, "unused": 0.25})
    open_ = replace(settled, possible=("normal", "chalk_white"))
    assert condition_weights(open_) == pytest.approx(shares)


@pytest.mark.parametrize(("stroke", "oil"), [("four", OIL_FOUR), ("two", OIL_TWO), (None, ())])
@few
@given(share=st.floats(0, 0.8), more=st.floats(0.05, 0.2), other=st.sampled_from(LABELS))
def test_more_wet_black_means_more_oil(stroke, oil, share, more, other) -> None:
    def at(p: float) -> Condition:
        rest = dict.fromkeys(LABELS, 0.0)
        rest["normal" if other == "wet_black" else other] = 1 - p
        rest["wet_black"] = p
        return Condition("wet_black", rest, ("wet_black",), 0.95, {})

    before, after = (
        cause_probabilities(at(p), Engine(stroke), {}, KNOWN) for p in (share, share + more)
    )
    assert all(after[id_] > before[id_] for id_ in oil or (*OIL_FOUR, *OIL_TWO))


@few
@given(st.from_type(Condition), st.sampled_from(FINDINGS), st.floats(HINT_FROM, 0.8))
def test_more_of_a_finding_favours_the_causes_that_show_it(condition, finding, p) -> None:
    def at(q: float) -> dict[str, float]:
        shown = replace(condition, findings={**condition.findings, finding: q})
        return cause_probabilities(shown, Engine(), {}, KNOWN)

    less, more = at(p), at(p + 0.2)
    ratio = {id_: q / less[id_] for id_, q in more.items() if less[id_] > TINY}
    usual = KNOWN.findings[finding].usual
    shows = {id_: KNOWN.causes[id_].findings.get(finding, usual) for id_ in ratio}
    ranked = sorted(ratio, key=lambda id_: shows[id_])
    for lower, higher in pairwise(ranked):
        assert ratio[higher] >= ratio[lower] * (1 - 1e-9)


@few
@given(st.from_type(Condition), st.sampled_from(FACTS))
def test_a_fact_favours_the_causes_that_have_it(condition, told) -> None:
    name, result, engine = told
    before = cause_probabilities(condition, engine, {}, KNOWN)
    after = cause_probabilities(condition, engine, {name: result}, KNOWN)
    fact = KNOWN.facts[name]
    left = fact.leaves.get(result, tuple(KNOWN.causes))
    ratio = {id_: q / before[id_] for id_, q in after.items() if before[id_] > TINY}
    has = {
        id_: KNOWN.causes[id_].facts.get(name, fact.usual)[result] if id_ in left else 0.0
        for id_ in ratio
    }
    ranked = sorted(ratio, key=lambda id_: has[id_])
    for lower, higher in pairwise(ranked):
        assert ratio[higher] >= ratio[lower] * (1 - 1e-9)
    assert all(ratio[id_] == 0 for id_, share in has.items() if share == 0)


@few
@given(
    st.from_type(Condition),
    st.permutations([("compression_dry", "low"), ("spark_test", "weak"), ("plug_tight", "yes")]),
)
def test_the_order_in_which_facts_come_is_all_the_same(condition, told) -> None:
    first = cause_probabilities(condition, Engine(), dict(sorted(told)), KNOWN)
    other = cause_probabilities(condition, Engine(), dict(told), KNOWN)
    assert other == pytest.approx(first)


def test_facts_that_rule_every_cause_out_leave_none() -> None:
    # Only age is known as a cause, and the plug is all but new.
    only = replace(KNOWN, causes={"plug_old": KNOWN.causes["plug_old"]})
    worn = Condition("normal", {"normal": 1.0}, ("normal",), 0.95, {"worn": 0.9})
    facts = {"plug_hours": "few"}
    assert cause_probabilities(worn, Engine(), {}, only) == {"plug_old": 1.0}
    assert cause_probabilities(worn, Engine(), facts, only) == {"plug_old": 0.0}
    assert ranked_causes({"plug_old": 0.0}, only) == ()


def test_an_unknown_stroke_lies_between_the_two(make_condition) -> None:
    condition = make_condition("wet_black", **dict.fromkeys(FINDINGS))
    unknown = cause_probabilities(condition, Engine(), {}, KNOWN)
    two = cause_probabilities(condition, Engine("two"), {}, KNOWN)
    four = cause_probabilities(condition, Engine("four"), {}, KNOWN)
    for id_, p in unknown.items():
        assert p == pytest.approx((two[id_] + four[id_]) / 2)


def test_a_finding_without_a_model_says_nothing_and_a_faint_one_is_noise(make_condition) -> None:
    def at(p: float | None) -> dict[str, float]:
        condition = make_condition("dry_black", coolant=p)
        return cause_probabilities(condition, Engine(), {}, KNOWN)

    assert at(0.19) == at(0.1) == at(0.0)
    assert at(None)["head_gasket_coolant"] >= at(0.0)["head_gasket_coolant"]
    assert at(0.2)["head_gasket_coolant"] >= at(0.19)["head_gasket_coolant"]


@pytest.mark.parametrize("engine", [Engine(stroke="six"), Engine(fuel="steam")])
def test_an_unknown_kind_of_engine_is_refused(make_condition, engine) -> None:
    with pytest.raises(ValueError, match="kind of engine"):
        cause_probabilities(make_condition("normal"), engine, {}, KNOWN)


def test_rank_words() -> None:
    assert [rank_word(p) for p in (0.9, 0.1, 0.04)] == ["likely", "possible", "less likely"]
