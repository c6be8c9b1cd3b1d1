"""Dangers cannot be outvoted, and doubt makes a verdict careful."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.causes.explanation import Verdict
from tipvision.causes.knowledge import ENGINE_WORDS, PLUG_WORDS, shipped_knowledge
from tipvision.causes.verdict import dangers, verdict
from tipvision.condition.condition import FINDINGS, Condition
from tipvision.record.reason import reason

KNOWN = shipped_knowledge()
DANGERS = ("bridged", "cracked", "pre_ignition", "detonation", "metal_specks", "mechanical")


def test_the_dangers_are_these() -> None:
    assert set(dangers(KNOWN)) == set(DANGERS)


@given(st.from_type(Condition), st.sampled_from(DANGERS), st.floats(0.5, 1))
def test_a_danger_forbids_the_start_whatever_else_is_said(condition, danger, p) -> None:
    shown = replace(condition, findings={**condition.findings, danger: p})
    assert verdict(shown, KNOWN) == Verdict("replace", "do_not_start")


@given(st.from_type(Condition))
def test_no_answer_that_the_photo_allows_is_outvoted(condition) -> None:
    given_ = verdict(condition, KNOWN).engine
    for label in condition.possible:
        if label != "none":
            own = KNOWN.verdicts[label].verdict.engine
            assert ENGINE_WORDS.index(given_) >= ENGINE_WORDS.index(own)


@given(st.from_type(Condition), st.sampled_from(FINDINGS), st.floats(0, 1))
def test_more_of_a_finding_never_makes_the_verdict_bolder(condition, finding, p) -> None:
    def at(q: float) -> Verdict:
        return verdict(replace(condition, findings={**condition.findings, finding: q}), KNOWN)

    # A lone "none" without findings asks for a check; a finding may then settle what it is.
    if condition.possible != ("none",):
        less, more = at(min(p, 0.1)), at(p)
        assert ENGINE_WORDS.index(more.engine) >= ENGINE_WORDS.index(less.engine)
        assert PLUG_WORDS.index(more.plug) >= PLUG_WORDS.index(less.plug)


@pytest.mark.parametrize(
    ("label", "plug", "engine"),
    [
        ("normal", "refit", "run"),
        ("unused", "refit", "run"),
        ("dry_black", "replace", "check"),
        ("wet_black", "replace", "check"),
        ("chalk_white", "replace", "not_under_load"),
        ("none", "check", "check"),
    ],
)
def test_a_settled_condition(make_condition, label, plug, engine) -> None:
    assert verdict(make_condition(label), KNOWN) == Verdict(plug, engine)


@pytest.mark.parametrize(
    ("possible", "plug", "engine"),
    [
        (("normal", "dry_black"), "check", "check"),
        (("normal", "unused"), "refit", "check"),
        (("dry_black", "wet_black"), "replace", "check"),
        (("normal", "chalk_white"), "check", "not_under_load"),
        (("normal", "none"), "check", "check"),
    ],
)
def test_an_unsettled_condition(make_condition, possible, plug, engine) -> None:
    given_ = verdict(make_condition(possible[0], possible), KNOWN)
    assert given_.engine == engine
    # Even where both answers would refit the plug, doubt asks for a look at it.
    assert given_.plug == ("check" if plug == "refit" else plug)


def test_one_answer_with_a_reason_against_it_is_not_settled(make_condition) -> None:
    doubted = replace(make_condition("normal"), reasons=(reason("outside_model"),))
    assert verdict(doubted, KNOWN) == Verdict("check", "check")


@pytest.mark.parametrize("danger", DANGERS)
def test_a_hint_of_danger_asks_for_a_check(make_condition, danger) -> None:
    assert verdict(make_condition("normal", **{danger: 0.3}), KNOWN) == Verdict("check", "check")


def test_findings_alone_give_their_own_verdict(make_condition) -> None:
    assert verdict(make_condition("none", fuel_wet=0.9), KNOWN) == Verdict("clean", "check")
    assert verdict(make_condition("none", worn=0.9), KNOWN) == Verdict("replace", "run")
