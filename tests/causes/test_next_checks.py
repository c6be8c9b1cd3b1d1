"""The next check fits engine, causes and verdict, and costs the least for what it tells."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from tipvision.causes.explanation import Cause, Engine, Verdict
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.next_checks import MOST_CHECKS, next_checks
from tipvision.causes.rank import ranked_causes
from tipvision.causes.verdict import verdict
from tipvision.condition.condition import Condition

KNOWN = shipped_knowledge()
RUN = Verdict("check", "check")


def _cause(id_: str, probability: float) -> Cause:
    return Cause(id_, "", probability, "possible")


def _ids(causes: list[Cause], engine: Engine, judged: Verdict = RUN) -> list[str]:
    return [check.id for check in next_checks(causes, engine, judged, KNOWN)]


def test_checks_are_in_order_of_what_they_tell_a_minute() -> None:
    # By hand: choke 0.3 in 3 minutes, air filter 0.4 in 5, timing light 0.3 in 15, flywheel in 25.
    causes = [
        _cause("air_filter_dirty", 0.4),
        _cause("choke_on", 0.3),
        _cause("timing_retarded", 0.3),
    ]
    ids = _ids(causes, Engine("four", "carburettor"))
    assert ids == ["choke", "air_filter", "timing_light", "flywheel"]


def test_no_causes_no_checks() -> None:
    assert _ids([], Engine()) == []


@given(st.from_type(Condition), st.from_type(Engine))
def test_checks_fit_engine_causes_and_verdict(condition: Condition, engine: Engine) -> None:
    judged = verdict(condition, KNOWN)
    causes = ranked_causes(condition, engine, KNOWN)
    checks = next_checks(causes, engine, judged, KNOWN)
    assert len(checks) <= MOST_CHECKS
    named = {cause.id for cause in causes}
    for check in checks:
        known = KNOWN.checks[check.id]
        assert engine.stroke is None or known.kind.stroke in (None, engine.stroke)
        assert engine.fuel is None or known.kind.fuel in (None, engine.fuel)
        assert known.looks_for_danger or named & set(known.separates)
        if judged.engine == "do_not_start":
            assert known.needs == "nothing"
    ids = [check.id for check in checks]
    if judged.engine == "do_not_start":
        assert ids[0] == "look_into_cylinder"
    if "compression_wet" in ids:
        assert ids.index("compression_dry") < ids.index("compression_wet")


def test_what_turns_the_engine_waits_while_it_must_not_turn() -> None:
    causes = [_cause("weak_ignition", 0.5), _cause("compression_low", 0.4)]
    assert _ids(causes, Engine("four"))[0] == "spark_test"
    danger = Verdict("replace", "do_not_start")
    assert _ids(causes, Engine("four"), danger) == ["look_into_cylinder"]


def test_cautions_of_another_engine_are_left_out() -> None:
    spark = replace(KNOWN.checks["spark_test"], cautions=("premix_oil", "leads_grounded"))
    known = replace(KNOWN, checks={spark.id: spark})
    causes = [_cause("weak_ignition", 0.5)]
    for stroke, cautions in (
        ("two", ("premix_oil", "leads_grounded")),
        ("four", ("leads_grounded",)),
        (None, ("premix_oil", "leads_grounded")),
    ):
        (check,) = next_checks(causes, Engine(stroke), RUN, known)
        assert check.cautions == cautions
