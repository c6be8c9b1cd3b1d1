"""The whole explanation hangs together, and says the grave things where they belong."""

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipvision.causes.explain import explain
from tipvision.causes.explanation import Engine, Sentence
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.known import ENGINE_WORDS, PLUG_WORDS
from tipvision.causes.rank import rank_word
from tipvision.causes.verdict import verdict
from tipvision.condition.condition import CONDITIONS, FINDINGS, Condition
from tipvision.record.reason import reason

KNOWN = shipped_knowledge()
few = settings(max_examples=40)
ALWAYS_SAID = {"engine_cold", "ignition_off", "one_clue", "manual_first"}


def _ids(sentences: Sequence[Sentence]) -> list[str]:
    return [sentence.id for sentence in sentences]


@few
@given(st.from_type(Condition), st.from_type(Engine))
def test_every_caution_stands_with_what_needs_it(condition: Condition, engine: Engine) -> None:
    known = shipped_knowledge()
    told = explain(condition, engine)
    cautions = _ids(told.cautions)
    assert len(cautions) == len(set(cautions))
    assert set(cautions) >= ALWAYS_SAID
    for check in told.checks:
        assert set(check.cautions) <= set(cautions)
    for piece in told.advice:
        for id_ in known.advice[piece.id].cautions:
            assert id_ in cautions or not known.cautions[id_].kind.fits(engine)
    order = list(known.cautions)
    assert cautions == sorted(cautions, key=order.index)
    for sentence in told.cautions:
        assert sentence.text == known.cautions[sentence.id].text


@few
@given(st.from_type(Condition), st.from_type(Engine))
def test_advice_and_verdict_do_not_contradict(condition: Condition, engine: Engine) -> None:
    told = explain(condition, engine)
    advice = _ids(told.advice)
    assert len(advice) == len(set(advice))
    if told.verdict.engine in ("do_not_start", "not_under_load"):
        assert "steady_load" not in advice
    if told.verdict.plug != "refit":
        assert not {"refit", "unused_fit"} & set(advice)
    if told.verdict.engine == "do_not_start":
        assert "do_not_start" in _ids(told.cautions)


@few
@given(st.from_type(Condition), st.from_type(Engine))
def test_doubt_asks_for_the_retake_first(condition: Condition, engine: Engine) -> None:
    told = explain(condition, engine)
    if len(condition.possible) > 1:
        assert told.advice[0].id == "retake_first"
        assert told.verdict.engine != "run"
        assert told.verdict.plug not in ("refit", "clean")
    else:
        assert "retake_first" not in _ids(told.advice)


def test_a_reason_against_the_answer_is_doubt_as_well(make_condition) -> None:
    doubted = replace(make_condition("normal"), reasons=(reason("outside_model"),))
    assert explain(doubted, Engine()).advice[0].id == "retake_first"


def test_advice_on_one_of_two_possible_answers_is_held_back(make_condition) -> None:
    wet = make_condition("wet_black")
    assert "stop_the_oil" in _ids(explain(wet, Engine()).advice)
    told = explain(replace(wet, possible=("wet_black", "dry_black")), Engine())
    assert "stop_the_oil" not in _ids(told.advice)
    assert "replace_fouled" in _ids(told.advice)


def test_a_merely_possible_danger_is_warned_of(make_condition) -> None:
    told = explain(make_condition("normal", ("normal", "chalk_white")), Engine())
    assert "not_under_load" in _ids(told.cautions)
    told = explain(make_condition("normal", metal_specks=0.3), Engine())
    assert "do_not_start" in _ids(told.cautions)


def test_dangers_that_no_model_looked_for_are_left_to_the_eye(make_condition) -> None:
    assert "look_for_dangers" not in _ids(explain(make_condition("normal"), Engine()).advice)
    blind = make_condition("normal", metal_specks=None)
    assert "look_for_dangers" in _ids(explain(blind, Engine()).advice)
    blind_to_colour = make_condition("normal", coloured=None)
    assert "look_for_dangers" not in _ids(explain(blind_to_colour, Engine()).advice)


def test_a_healthy_plug_needs_no_check(make_condition) -> None:
    for label, said in (("normal", "runs_well"), ("unused", "not_run_yet")):
        for findings in ({}, dict.fromkeys(FINDINGS)):
            told = explain(make_condition(label, **findings), Engine())
            assert told.causes[0].id == said
            assert told.checks == ()


def test_the_result_of_a_check_moves_causes_and_checks(make_condition) -> None:
    dry, engine = make_condition("dry_black"), Engine("four", "carburettor")
    before = explain(dry, engine)
    assert "choke" in [check.id for check in before.checks]
    stuck = explain(dry, engine, {"choke": "stuck"})
    assert stuck.causes[0].id == "choke_on"
    assert stuck.causes[0].rank_word == "likely"
    free = explain(dry, engine, {"choke": "free"})
    assert "choke_on" not in [cause.id for cause in free.causes]
    for told in (stuck, free):
        assert "choke" not in [check.id for check in told.checks]
        assert told.verdict == before.verdict


def test_a_fact_tells_the_engine_and_so_the_cautions(make_condition) -> None:
    told = explain(make_condition("wet_black"), Engine(), {"premix": "mixed_heavy"})
    assert "premix_oil" in _ids(told.cautions)
    told = explain(make_condition("wet_black"), Engine(), {"smoke": "steady"})
    assert "premix_oil" not in _ids(told.cautions)


def test_no_fact_outvotes_a_danger(make_condition) -> None:
    broken = make_condition("normal", cracked=0.9)
    facts = {"ceramic": "sound", "cylinder": "sound", "lately": "nothing"}
    assert explain(broken, Engine(), facts).verdict.engine == "do_not_start"


@pytest.mark.parametrize(
    ("fact", "result"),
    [
        ("ceramic", "cracked"),
        ("cylinder", "damaged"),
        ("cylinder", "loose_piece"),
        ("leak_down", "into_coolant"),
        ("timing", "key_sheared"),
    ],
)
def test_a_danger_that_was_found_by_hand_forbids_the_start(make_condition, fact, result) -> None:
    told = explain(make_condition("normal"), Engine(), {fact: result})
    assert told.verdict.engine == "do_not_start"
    assert "do_not_start" in _ids(told.cautions)
    assert "Refit" not in " ".join(piece.text for piece in told.advice)


@given(st.from_type(Condition), st.data())
def test_a_fact_never_makes_the_verdict_bolder(condition: Condition, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(KNOWN.facts)))
    fact = {name: data.draw(st.sampled_from(sorted(KNOWN.facts[name].usual)))}
    before, after = verdict(condition, KNOWN), verdict(condition, KNOWN, fact)
    assert ENGINE_WORDS.index(after.engine) >= ENGINE_WORDS.index(before.engine)
    assert PLUG_WORDS.index(after.plug) >= PLUG_WORDS.index(before.plug)


def test_an_unused_plug_is_checked_for_fit(make_condition) -> None:
    told = explain(make_condition("unused"), Engine())
    fit = {piece.id: piece.text for piece in told.advice}["unused_fit"]
    assert all(word in fit for word in ("gap", "heat range", "thread", "reach"))


def test_the_best_reading_is_not_asked_of_an_injected_engine(make_condition) -> None:
    asked = _ids(explain(make_condition("normal"), Engine("four", "carburettor")).advice)
    spared = _ids(explain(make_condition("normal"), Engine("four", "injection")).advice)
    assert "steady_load" in asked
    assert "steady_load" not in spared


def test_coolant_fuel_and_oil_warn_of_a_locked_engine(make_condition) -> None:
    for condition in (
        make_condition("wet_black"),
        make_condition("none", fuel_wet=0.9),
        make_condition("none", coolant=0.9),
    ):
        assert "hydraulic_lock" in _ids(explain(condition, Engine()).cautions)


@pytest.mark.parametrize("stroke", ["two", "four"])
def test_only_a_two_stroke_is_warned_of_too_little_oil(make_condition, stroke) -> None:
    cautions = _ids(explain(make_condition("wet_black"), Engine(stroke)).cautions)
    assert ("premix_oil" in cautions) == (stroke == "two")


@pytest.mark.parametrize("sign", [*CONDITIONS, *FINDINGS])
def test_every_condition_and_finding_brings_advice_of_its_own(make_condition, sign) -> None:
    known = shipped_knowledge()
    condition = (
        make_condition(sign) if sign in CONDITIONS else make_condition("none", **{sign: 0.9})
    )
    told = explain(condition, Engine())
    assert any(sign in known.advice[piece.id].applies for piece in told.advice)


@pytest.mark.parametrize(
    ("sign", "hours", "said"),
    [
        ("unused", "many", {"new_but_has_run"}),
        ("unused", "middle", {"new_but_has_run"}),
        ("unused", "few", set()),  # some minutes leave a nose as clean as it was
        ("unused", "none", set()),
        ("dry_black", "none", {"run_but_said_new"}),
        ("chalk_white", "none", set()),  # white noses and new ones are mixed up in photos
        ("normal", "none", {"run_but_said_new"}),
        ("normal", "few", set()),
        ("wet_black", "none", set()),  # cranked without a spark, a new plug gets wet as well
    ],
)
def test_what_was_told_of_its_hours_is_held_against_the_look_of_a_plug(
    make_condition, sign, hours, said
) -> None:
    advice = _ids(explain(make_condition(sign), Engine(), {"plug_hours": hours}).advice)
    assert set(advice) & {"new_but_has_run", "run_but_said_new"} == said


def test_hours_contradict_no_look_that_is_not_settled(make_condition) -> None:
    told = {"plug_hours": "none"}
    for other in ("normal", "dry_black", "wet_black", "chalk_white"):
        both = make_condition("unused", possible=("unused", other))
        assert "run_but_said_new" not in _ids(explain(both, Engine(), told).advice)


FOUND_BROKEN = (
    ("cylinder", "damaged", None),
    ("cylinder", "loose_piece", None),
    ("ceramic", "cracked", None),
    ("leak_down", "into_coolant", "head_gasket_coolant"),
    ("spark_test", "none", "weak_ignition"),
    ("timing", "key_sheared", None),
    ("timing", "advanced", "timing_advanced"),
    ("coolant_falls", "yes", "head_gasket_coolant"),
    ("cooling_works", "no", "cooling_fault"),
    ("crankcase_pressure", "leaks_at_magneto", "crank_seal_magneto"),
    ("intake_leak", "yes", "air_leak"),
    ("jets", "lean", None),
    ("plug_heat_range", "hotter", "plug_too_hot"),
    ("air_filter", "torn_or_missing", "air_filter_leaking"),
    ("choke", "stuck", "choke_on"),
    ("fuel_level", "starves", "fuel_supply_blocked"),
    ("fuel_pressure", "low", None),
    ("injector_flow", "low", None),
)
"""Fact, result, and the cause that it tells by itself, None where it leaves several."""


@pytest.mark.parametrize(("fact", "result", "first"), FOUND_BROKEN)
def test_what_was_found_broken_is_not_called_no_fault(make_condition, fact, result, first) -> None:
    told = explain(make_condition("normal"), Engine(), {fact: result})
    assert told.causes and all(cause.id != "runs_well" for cause in told.causes)
    assert first in (None, told.causes[0].id)


BEFORE_A_RUN = [row[:2] for row in FOUND_BROKEN if row[0] != "choke"]
"""With its choke stuck an engine may run: it only fouls plugs."""


@pytest.mark.parametrize(("fact", "result"), BEFORE_A_RUN)
def test_what_was_found_broken_is_looked_into_before_a_run(make_condition, fact, result) -> None:
    told = explain(make_condition("normal"), Engine(), {fact: result})
    assert told.verdict.engine != "run"


@pytest.mark.parametrize(
    ("fact", "result"),
    [
        *(("crankcase_pressure", "leaks_at_magneto"), ("crankcase_pressure", "leaks_at_base")),
        *(("intake_leak", "yes"), ("jets", "lean"), ("air_filter", "torn_or_missing")),
        *(("fuel_level", "low"), ("fuel_pressure", "low"), ("injector_flow", "low")),
    ],
)
def test_what_makes_an_engine_run_lean_keeps_it_off_load(make_condition, fact, result) -> None:
    told = explain(make_condition("normal"), Engine(), {fact: result})
    assert told.verdict.engine == "not_under_load"


def test_white_alone_is_not_taken_for_overheating(make_condition) -> None:
    told = explain(make_condition({"chalk_white": 0.99}), Engine())
    assert "confirm_heat" in _ids(told.advice)


def test_a_cause_that_was_found_is_put_right_first(make_condition) -> None:
    engine = Engine("two", "carburettor")
    white = make_condition({"chalk_white": 0.99})
    assert "mend_the_cause" in _ids(explain(white, engine, {"intake_leak": "yes"}).advice)
    assert "mend_the_cause" not in _ids(explain(white, engine).advice)
    new = make_condition({"unused": 0.99})
    assert "mend_the_cause" not in _ids(explain(new, engine, {"plug_hours": "none"}).advice)


def test_an_air_cooled_engine_has_no_coolant_leak(make_condition) -> None:
    marked = make_condition("normal", coolant=0.9)
    assert "coolant_first" in _ids(explain(marked, Engine()).advice)
    assert "coolant_first" not in _ids(explain(marked, Engine(cooling="air")).advice)
    assert "coolant_first" not in _ids(explain(marked, Engine(), {"cooling": "air"}).advice)


def test_words_of_rank_say_what_they_mean() -> None:
    assert [rank_word(p) for p in (0.9, 0.4, 0.39, 0.1, 0.09)] == [
        *("likely", "likely", "possible", "possible", "less likely")
    ]
