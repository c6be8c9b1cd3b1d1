"""Every number that an explanation tells can be followed to a data file with a source.

The files are read here as plain TOML, so that nothing of the loader stands in between.
"""

import re
import tomllib
from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

import pytest

import tipvision.causes.knowledge as knowledge_module
import tipvision.workshop.figures as figures_module
from tests.whole_engine import WHOLE_ENGINE
from tipvision.causes.entries import is_source
from tipvision.causes.explain import explain
from tipvision.causes.explanation import Engine, Explanation
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.rank import traces
from tipvision.condition.condition import CONDITIONS, FINDINGS, Condition

KNOWLEDGE = Path(knowledge_module.__file__).parent / "knowledge"
WORKSHOP = Path(figures_module.__file__).parent
ENGINES = (Engine("two", "carburettor"), Engine("four", "injection"), Engine(), WHOLE_ENGINE)
NUMBER = re.compile(r"\d+(?:[./]\d+)?")
MM_PER_INCH, NM_PER_LBF_FT = 25.4, 1.3558179483314004  # exact by definition; to 1e-16


def _file(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"))


def _entries(name: str, table: str) -> dict[str, dict[str, Any]]:
    return {entry["id"]: entry for entry in _file(KNOWLEDGE / name)[table]}


@pytest.fixture(scope="module")
def told(make_condition) -> list[tuple[Condition, Engine, Explanation]]:
    """An explanation of every condition and finding on several engines."""
    plugs = [make_condition(label) for label in CONDITIONS]
    plugs += [make_condition("none", **{finding: 0.9}) for finding in FINDINGS]
    return [(plug, engine, explain(plug, engine)) for plug, engine in product(plugs, ENGINES)]


def test_sentences_stand_word_for_word_in_a_file_with_their_source(told) -> None:
    files = [_entries(f, t) for f, t in (("advice.toml", "advice"), ("cautions.toml", "caution"))]
    known = {id_: entry for file in files for id_, entry in file.items()}
    of_the_engine = {piece.id for piece in _of_the_engine(told)}
    for _, _, explanation in told:
        for sentence in (*explanation.advice, *explanation.cautions):
            if sentence.id in known:
                assert sentence.text == known[sentence.id]["text"]
                assert is_source(known[sentence.id]["source"])
            elif NUMBER.search(sentence.text):
                assert sentence.id in of_the_engine


def test_numbers_on_the_plug_that_goes_in_come_from_the_engine_or_a_table(told) -> None:
    pieces = list(_of_the_engine(told))
    assert pieces
    allowed = _of_the_tables()
    for piece in pieces:
        numbers = {Fraction(number) for number in NUMBER.findall(piece.text)}
        assert numbers
        assert numbers <= allowed, (piece.text, numbers - allowed)


def _of_the_engine(told: list[tuple[Condition, Engine, Explanation]]) -> Iterator[Any]:
    """Advice that is worked out from the facts of `WHOLE_ENGINE`."""
    for _, engine, explanation in told:
        if engine is WHOLE_ENGINE:
            known = _entries("advice.toml", "advice")
            yield from (
                piece
                for piece in explanation.advice
                if piece.id not in known and NUMBER.search(piece.text)
            )


def _of_the_tables() -> set[Fraction]:
    """What `WHOLE_ENGINE` says of itself, its torques and the turns, each in both its units."""
    torques, figures = _file(WORKSHOP / "torques.toml"), _file(WORKSHOP / "figures.toml")
    assert is_source(torques["source"])
    assert all(is_source(figure["source"]) for figure in figures.values())
    (row,) = (
        row
        for row in torques["torque"]
        if (row["thread"], row["seat"]) == ("M14", "gasket") and "aluminium" in row["heads"]
    )
    turns = [v["value"] for name, v in figures.items() if name.startswith("turn_")]
    numbers = [
        *(f"{mm:.2f}" for mm in WHOLE_ENGINE.gap_mm or ()),
        *(f"{mm / MM_PER_INCH:.3f}" for mm in WHOLE_ENGINE.gap_mm or ()),
        *(f"{nm}" for nm in row["nm"]),
        *(f"{nm / NM_PER_LBF_FT:.0f}" for nm in row["nm"]),
        *(Fraction(turn).limit_denominator(20) for turn in turns),
        *("14", "300", "15", "59"),  # the thread; metres, °C and the same in °F
    ]
    return {Fraction(number) for number in numbers}


def test_minutes_and_words_of_checks_stand_in_the_file(told) -> None:
    known = _entries("checks.toml", "check")
    assert is_source(_file(KNOWLEDGE / "checks.toml")["source_of_numbers"])
    checks = [check for _, _, explanation in told for check in explanation.checks]
    assert checks
    for check in checks:
        assert (check.text, check.minutes) == (known[check.id]["text"], known[check.id]["minutes"])


def test_the_probability_of_a_cause_is_made_of_entries_of_the_files(told) -> None:
    known = shipped_knowledge()
    causes, facts = _entries("causes.toml", "cause"), _entries("facts.toml", "fact")
    for file in ("causes.toml", "facts.toml", "findings.toml"):
        assert is_source(_file(KNOWLEDGE / file)["source_of_numbers"])
    for condition, engine, explanation in told:
        by_id = {trace.cause: trace for trace in traces(condition, engine, {}, known)}
        total = sum(trace.score for trace in by_id.values())
        for cause in explanation.causes:
            assert cause.text == causes[cause.id]["text"]
            assert cause.probability == pytest.approx(by_id[cause.id].score / total)
            for part in (*by_id[cause.id].terms, *by_id[cause.id].factors):
                assert _stands(part.entry, causes, facts), part.entry


def _stands(entry: str, causes: dict[str, Any], facts: dict[str, Any]) -> bool:
    id_, group, *path = entry.split(".")
    if group == "leaves":
        return path[0] in facts[id_]["leaves"]
    tables = [causes[id_].get(name, {}) for name in (group, f"{group}_two", f"{group}_four")]
    return any(path[0] in table for table in tables)
