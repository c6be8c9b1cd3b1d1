"""Is this line a valid record? The schema, and the rules that a schema cannot say."""

import json
from functools import cache
from importlib import resources
from typing import Any

from tipvision.record import SCHEMA_VERSION


@cache
def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of this version's record."""
    name = f"reading-{SCHEMA_VERSION}.schema.json"
    text = resources.files("tipvision.record").joinpath(name).read_text("utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def faults_in(line: str) -> list[str]:
    """What is wrong with one line of JSON as a record; empty when nothing is."""
    try:
        record = json.loads(line, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        return [f"not JSON: {error}"]
    return faults_of(record)


def faults_of(record: Any) -> list[str]:
    """What is wrong with a parsed record; empty when nothing is."""
    faults = [
        f"{'.'.join(map(str, error.absolute_path)) or 'record'}: {error.message}"
        for error in _validator().iter_errors(record)
    ]
    return faults or _broken_rules(record)


def _refuse_constant(name: str) -> float:
    raise ValueError(f"{name} is no JSON number")


@cache
def _validator() -> Any:
    import jsonschema

    return jsonschema.Draft202012Validator(schema())


def _broken_rules(record: dict[str, Any]) -> list[str]:
    faults = []
    probabilities, possible = record["probabilities"], record["possible"]
    judged = [record[key] is not None for key in ("probabilities", "possible", "findings")]
    if any(judged) != all(judged) or (record["condition"] is not None and not all(judged)):
        return ["condition, probabilities, possible, findings: some are null and some are not"]
    if probabilities is not None:
        if abs(sum(probabilities.values()) - 1) > 1e-6:
            faults.append("probabilities: they do not sum to 1")
        likeliest = max(probabilities.values())
        best = {label for label, p in probabilities.items() if p == likeliest}
        if not best & set(possible or ()):
            faults.append("possible: the most probable label is not in it")
        if (record["condition"] or "none") not in best:
            faults.append("condition: it is not the most probable label")
        findings = [p for p in record["findings"].values() if p is not None]
        if record["condition"] is None and not any(p >= 0.5 for p in findings):
            faults.append("condition: null, though no finding reaches 0.5")
    settled = possible is not None and len(possible) == 1 and not record["reasons"]
    if (record["outcome"] == "read") != settled:
        faults.append("outcome: it is 'read' exactly when one label is possible and no gate fired")
    plug = record["plug"]
    if plug is not None and plug["n"] is not None and plug["n"] > plug["of"]:
        faults.append("plug: its number is above the count of plugs")
    return faults
