"""The cases of the trade hold: the cause that the trade names stands where it says."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tipvision.causes.explain import explain
from tipvision.causes.explanation import Engine
from tipvision.causes.facts import told_facts
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.rank import cause_probabilities
from tipvision.condition.condition import FINDINGS, LABELS, Condition

FILE = tomllib.loads(Path(__file__).with_name("cases.toml").read_text(encoding="utf-8"))
CASES: list[dict[str, Any]] = FILE["case"]
KNOWN = shipped_knowledge()
COVERAGE = 0.95
UNSEEN = 0.02  # the findings that a case does not name
WORDS = {True: "yes", False: "no"}

# Cases that the inference misses, each with the reason why the trade's answer is not followed.
DISAGREEMENTS: dict[str, str] = {}

each_case = pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])


def _condition(case: dict[str, Any]) -> Condition:
    """As the tool would hand it on: the smallest set of answers that reaches the coverage."""
    probabilities = {label: case["conditions"].get(label, 0.0) for label in LABELS}
    ranked = sorted(LABELS, key=lambda label: -probabilities[label])
    mass, possible = 0.0, []
    for label in ranked:
        if mass < COVERAGE:
            possible.append(label)
            mass += probabilities[label]
    findings = dict.fromkeys(FINDINGS, UNSEEN) | case.get("findings", {})
    label = None if ranked[0] == "none" else ranked[0]
    return Condition(label, probabilities, tuple(possible), COVERAGE, findings)


def _engine(case: dict[str, Any]) -> Engine:
    return Engine(**case.get("engine", {}))


def _facts(case: dict[str, Any]) -> dict[str, str]:
    return {
        name: WORDS[value] if isinstance(value, bool) else value
        for name, value in case.get("facts", {}).items()
    }


@cache
def _listed(id_: str) -> list[str]:
    (case,) = (case for case in CASES if case["id"] == id_)
    told = explain(_condition(case), _engine(case), _facts(case))
    return [cause.id for cause in told.causes]


@each_case
def test_the_cause_that_the_trade_names_is_among_the_first(case: dict[str, Any]) -> None:
    holds = case["expect"] in _listed(case["id"])[: case["rank"]]
    assert holds == (case["id"] not in DISAGREEMENTS), _listed(case["id"])


@each_case
def test_what_the_engine_or_the_facts_rule_out_is_not_listed(case: dict[str, Any]) -> None:
    assert set(case.get("never", [])) & set(_listed(case["id"])) == set()


def test_a_cause_of_another_engine_has_no_chance_at_all() -> None:
    for case in CASES:
        facts = _facts(case)
        _, engine = told_facts(facts, _engine(case), KNOWN)
        probabilities = cause_probabilities(_condition(case), engine, facts, KNOWN)
        foreign = [cause.id for cause in KNOWN.causes.values() if not cause.kind.fits(engine)]
        assert [id_ for id_ in foreign if probabilities[id_] > 0] == [], case["id"]


def test_the_known_disagreements_are_cases() -> None:
    assert set(DISAGREEMENTS) <= {case["id"] for case in CASES}


def test_every_cause_and_fact_of_the_cases_is_in_the_knowledge() -> None:
    named = {id_ for case in CASES for id_ in (case["expect"], *case.get("never", []))}
    assert named <= set(KNOWN.causes)
    told = {pair for case in CASES for pair in _facts(case).items()}
    assert [pair for pair in told if pair[1] not in KNOWN.facts[pair[0]].usual] == []


def test_the_facts_mean_what_the_cases_mean_by_them() -> None:
    for fact in FILE["fact"]:
        known = KNOWN.facts[fact["id"]]
        assert known.text == fact["text"]
        assert {WORDS[v] if isinstance(v, bool) else v for v in fact["values"]} <= set(known.usual)
