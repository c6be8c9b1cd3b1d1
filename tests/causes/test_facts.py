"""What is told of the engine is checked, and tells which engine it is."""

import pytest

from tipvision.causes.explanation import Engine
from tipvision.causes.facts import parse_fact, told_facts
from tipvision.causes.knowledge import shipped_knowledge

KNOWN = shipped_knowledge()


def test_a_fact_is_a_name_and_a_result() -> None:
    assert parse_fact("compression_dry=low") == ("compression_dry", "low")
    assert parse_fact(" gap = wide ") == ("gap", "wide")


@pytest.mark.parametrize("text", ["", "gap", "gap=", "=wide", "="])
def test_anything_else_is_refused_with_the_right_form(text: str) -> None:
    with pytest.raises(ValueError, match="NAME=RESULT"):
        parse_fact(text)


def test_a_fact_that_only_one_kind_of_engine_has_tells_the_engine() -> None:
    _, engine = told_facts({"premix": "as_manual", "choke": "free"}, Engine(), KNOWN)
    assert (engine.stroke, engine.fuel) == ("two", "carburettor")
    _, engine = told_facts({"gap": "wide"}, Engine(), KNOWN)
    assert (engine.stroke, engine.fuel) == (None, None)


def test_the_cooling_of_the_engine_is_a_fact() -> None:
    told, _ = told_facts({}, Engine(cooling="air"), KNOWN)
    assert told == {"cooling": "air"}


@pytest.mark.parametrize(
    ("facts", "engine", "words"),
    [
        ({"horn": "loud"}, Engine(), ["horn", "choke", "lately"]),
        ({"gap": "huge"}, Engine(), ["gap", "huge", "narrow, as_manual, wide"]),
        ({"premix": "as_manual"}, Engine("four"), ["premix", "another engine", "two"]),
        ({"premix": "as_manual", "smoke": "none"}, Engine(), ["smoke", "another engine"]),
        ({"choke": "free", "fuel_pressure": "low"}, Engine(), ["fuel_pressure", "injection"]),
        ({"cooling": "air"}, Engine(cooling="liquid"), ["cooling", "liquid"]),
        ({}, Engine(stroke="six"), ["six", "two, four"]),
    ],
)
def test_what_does_not_fit_is_refused_in_one_line(facts, engine, words) -> None:
    with pytest.raises(ValueError) as caught:
        told_facts(facts, engine, KNOWN)
    assert "\n" not in str(caught.value)
    for word in words:
        assert word in str(caught.value)
