"""Every score can be followed back to the entries of the knowledge that it is made of."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tipvision.causes.explanation import Engine
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.rank import HINT_FROM, cause_probabilities, traces
from tipvision.causes.trace import Factor, Term, Trace
from tipvision.condition.condition import Condition

KNOWN = shipped_knowledge()
FACTS = {
    name: st.sampled_from(list(KNOWN.facts[name].usual))
    for name in ("spark_test", "gap", "plug_hours", "compression_dry", "lately")
}


def test_a_score_by_hand() -> None:
    trace = Trace(
        "a", (Term("x", 0.5, 0.2), Term("y", 0.1, 0.8)), (Factor("f", 3), Factor("g", 0.5))
    )
    assert trace.score == pytest.approx((0.1 + 0.08) * 1.5)


@settings(max_examples=40)
@given(st.from_type(Condition), st.from_type(Engine), st.fixed_dictionaries({}, optional=FACTS))
def test_the_traces_give_the_probabilities_and_nothing_else_does(condition, engine, facts) -> None:
    all_ = traces(condition, engine, facts, KNOWN)
    probabilities = cause_probabilities(condition, engine, facts, KNOWN)
    total = sum(trace.score for trace in all_)
    of_trace = {trace.cause: trace.score / total for trace in all_}
    assert {id_: of_trace.get(id_, 0.0) for id_ in KNOWN.causes} == pytest.approx(probabilities)
    for trace in all_:
        for factor in trace.factors:
            assert factor.value == pytest.approx(_from_the_files(factor.entry, condition))
        for term in trace.terms:
            _, _, label = term.entry.split(".")
            assert any(label in shares for shares in KNOWN.causes[trace.cause].share.values())
            assert 0 < term.share <= 1


def _from_the_files(entry: str, condition: Condition) -> float:
    """The factor of an entry, worked out again from the numbers that stand in the files."""
    match entry.split("."):
        case [cause, "findings", name]:
            p, usual = condition.findings[name], KNOWN.findings[name].usual
            shown = 0.0 if p < HINT_FROM else p
            own = KNOWN.causes[cause].findings[name]
            return shown * own / usual + (1 - shown) * (1 - own) / (1 - usual)
        case [cause, "facts", name, result]:
            return KNOWN.causes[cause].facts[name][result] / KNOWN.facts[name].usual[result]
        case [name, "leaves", result]:
            assert KNOWN.facts[name].leaves[result]
            return 0.0
        case other:
            raise AssertionError(f"{other} is no entry of the files")


def test_an_unknown_engine_has_the_mean_of_the_shares(make_condition: Any) -> None:
    condition = make_condition("wet_black")

    def share(engine: Engine) -> float:
        (trace,) = (t for t in traces(condition, engine, {}, KNOWN) if t.cause == "premix_heavy")
        (term,) = (term for term in trace.terms if term.entry == "premix_heavy.share.wet_black")
        return term.share

    assert share(Engine()) == pytest.approx(share(Engine("two")) / 2)
