"""The cases of the trade are well-formed, and enough of them say which cause comes first."""

import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tipvision.condition.condition import CONDITIONS, FINDINGS, LABELS

FILE = tomllib.loads(Path(__file__).with_name("cases.toml").read_text(encoding="utf-8"))
FACTS: dict[str, list[Any]] = {fact["id"]: fact["values"] for fact in FILE["fact"]}
CASES: list[dict[str, Any]] = FILE["case"]
ENGINE = {"stroke": ("two", "four"), "fuel": ("carburettor", "injection")}
NEEDED = {"id", "story", "conditions", "expect", "rank"}
OPTIONAL = {"engine", "facts", "findings", "never"}
# What stands in the file about an engine of the other kind would be a slip of the pen.
ONLY_WITH = {
    "premix": ("stroke", "two"),
    "gearbox_oil": ("stroke", "two"),
    "crankcase_pressure": ("stroke", "two"),
    "oil_level": ("stroke", "four"),
    "smoke": ("stroke", "four"),
    "compression_wet": ("stroke", "four"),
    "valve_clearance": ("stroke", "four"),
    "choke": ("fuel", "carburettor"),
    "jets": ("fuel", "carburettor"),
    "fuel_level": ("fuel", "carburettor"),
    "fuel_pressure": ("fuel", "injection"),
    "stored_faults": ("fuel", "injection"),
}

each_case = pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])


def test_ids_are_unique_and_plain() -> None:
    for entries in (FILE["case"], FILE["fact"]):
        ids = [entry["id"] for entry in entries]
        assert [name for name, n in Counter(ids).items() if n > 1] == []
        assert all(re.fullmatch(r"[a-z][a-z_]*", name) for name in ids)


def test_facts_have_a_sentence_and_different_values() -> None:
    for fact in FILE["fact"]:
        assert set(fact) == {"id", "text", "values"}
        assert fact["text"].endswith(".")
        assert len(fact["values"]) == len(set(fact["values"])) >= 2


def test_every_value_of_a_fact_that_a_case_names_exists_and_every_fact_is_used() -> None:
    told = [(name, value) for case in CASES for name, value in case.get("facts", {}).items()]
    assert [(name, value) for name, value in told if value not in FACTS[name]] == []
    assert set(FACTS) == {name for name, _ in told}


@each_case
def test_a_case_has_the_known_parts(case: dict[str, Any]) -> None:
    assert set(case) >= NEEDED
    assert set(case) <= NEEDED | OPTIONAL
    assert re.fullmatch(r"[A-Z].*\.", case["story"])


@each_case
def test_an_engine_is_told_in_known_words(case: dict[str, Any]) -> None:
    engine = case.get("engine", {})
    assert all(word in ENGINE[key] for key, word in engine.items())
    for fact in case.get("facts", {}):
        if fact in ONLY_WITH:
            key, word = ONLY_WITH[fact]
            assert engine.get(key) == word, f"{fact} belongs to a {word} engine"


@each_case
def test_conditions_sum_to_one_and_findings_are_likely(case: dict[str, Any]) -> None:
    conditions, findings = case["conditions"], case.get("findings", {})
    assert set(conditions) <= set(LABELS)
    assert all(0 < p <= 1 for p in conditions.values())
    assert sum(conditions.values()) == pytest.approx(1)
    assert set(findings) <= set(FINDINGS)
    assert all(0.5 <= p <= 1 for p in findings.values())
    if max(conditions, key=conditions.__getitem__) == "none":
        assert findings, "a plug without a condition is described by a finding"


@each_case
def test_the_expected_cause_is_among_the_first_and_not_ruled_out(case: dict[str, Any]) -> None:
    assert case["rank"] in range(1, 6)
    never = case.get("never", [])
    assert case["expect"] not in never
    assert len(never) == len(set(never))


def test_the_cases_are_many_and_most_say_what_comes_first() -> None:
    assert len(CASES) >= 60
    assert sum(case["rank"] == 1 for case in CASES) >= 30


def test_the_cases_cover_the_trade() -> None:
    first = Counter(max(case["conditions"], key=case["conditions"].__getitem__) for case in CASES)
    assert set(first) >= set(CONDITIONS)
    assert {name for case in CASES for name in case.get("findings", {})} == set(FINDINGS)
    engines = {tuple(case.get("engine", {}).get(key) for key in ENGINE) for case in CASES}
    assert engines >= {(stroke, fuel) for stroke in ENGINE["stroke"] for fuel in ENGINE["fuel"]}
    ties = [case for case in CASES if sorted(case["conditions"].values())[-2:][0] >= 0.43]
    assert len(ties) >= 8
