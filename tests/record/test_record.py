"""Records are what the schema says, and the checker finds what is not."""

import copy
import json

import jsonschema
import pytest

from tests.report import samples
from tipvision.record.as_json import to_json, to_record
from tipvision.record.check import faults_in, faults_of, schema
from tipvision.record.reason import known_reasons

READINGS = [v for v in vars(samples).values() if isinstance(v, samples.Reading)]


def record_of(outcome: str) -> dict:
    return copy.deepcopy(to_record(next(r for r in READINGS if r.outcome == outcome)))


def test_the_schema_is_a_valid_schema():
    jsonschema.Draft202012Validator.check_schema(schema())  # published: JSON Schema 2020-12


def test_samples_cover_every_outcome():
    assert {r.outcome for r in READINGS} == set(schema()["properties"]["outcome"]["enum"])


@pytest.mark.parametrize("reading", READINGS, ids=lambda r: f"{r.outcome}-{r.photo[:12]}")
def test_every_reading_is_one_line_and_valid(reading):
    line = to_json(reading)
    assert "\n" not in line
    assert faults_in(line) == []
    assert json.loads(line)["photo"] == reading.photo


def test_what_was_not_reached_is_null():
    unreadable = record_of("unreadable")
    kept = {"schema", "photo", "outcome", "reasons"}
    assert {k for k, v in unreadable.items() if v is not None} == kept
    nothing_there = record_of("not_a_plug")
    assert {k for k, v in nothing_there.items() if v is not None} == kept | {"light", "photos"}


def test_the_reason_codes_of_schema_and_words_are_the_same():
    listed = schema()["properties"]["reasons"]["items"]["properties"]["code"]["enum"]
    assert set(listed) == set(known_reasons())
    for code, words in known_reasons().items():
        assert set(words) == {"text", "remedy"}, code


BREAK = {
    "probabilities that do not sum to 1": lambda r: r["probabilities"].update(normal=0.9),
    "a label that is not the likeliest": lambda r: r.update(condition="unused"),
    "read with two labels": lambda r: r["possible"].append("unused"),
    "read with a reason": lambda r: r["reasons"].append(
        {"code": "blurred", "text": "x", "remedy": "y"}
    ),
    "an unknown reason": lambda r: r.update(
        outcome="unclear", reasons=[{"code": "tired", "text": "x", "remedy": "y"}]
    ),
    "an unknown field": lambda r: r.update(location="here"),
    "a fifth band": lambda r: r["colour"]["bands"].update(unused=1.0),
    "a missing field": lambda r: r.pop("light"),
    "another version": lambda r: r.update(schema=2),
    "a condition without probabilities": lambda r: r.update(probabilities=None),
    "probabilities without findings": lambda r: r.update(findings=None),
    "a plug number above the count": lambda r: r.update(plug={"n": 3, "of": 2}),
    "a probability above 1": lambda r: r["findings"].update(ash=1.5),
    "no condition and no finding": lambda r: r.update(
        condition=None,
        probabilities=dict.fromkeys(r["probabilities"], 0.0) | {"none": 1.0},
        possible=["none"],
        findings=dict.fromkeys(r["findings"]),
    ),
}


@pytest.mark.parametrize("how", BREAK)
def test_a_broken_record_is_found_out(how):
    record = record_of("read")
    assert faults_of(record) == []
    BREAK[how](record)
    assert faults_of(record)


NOT_A_NUMBER = to_json(next(r for r in READINGS if r.outcome == "read")).replace(
    '"lab": [', '"lab": [Infinity, '
)


@pytest.mark.parametrize(
    "line", ["", "{", "[]", "null", '"x"', "{}", "[" * 200_000, NOT_A_NUMBER], ids=range(8)
)
def test_a_line_that_is_no_record_is_found_out(line):
    assert faults_in(line)
