"""The next check fits engine, causes and verdict, and costs the least for what it tells."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tipvision.causes.explanation import Engine, Verdict
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.next_checks import MOST_CHECKS, check_rates, next_checks
from tipvision.causes.rank import cause_probabilities
from tipvision.causes.verdict import verdict
from tipvision.condition.condition import Condition

KNOWN = shipped_knowledge()
RUN, FREE = Verdict("check", "check"), Verdict("refit", "run")
few = settings(max_examples=40)


def _ids(
    causes: dict[str, float],
    engine: Engine,
    told: dict[str, str] | None = None,
    judged: Verdict = RUN,
) -> list[str]:
    probabilities = dict.fromkeys(KNOWN.causes, 0.0) | causes
    return [check.id for check in next_checks(probabilities, engine, told or {}, judged, KNOWN)]


def test_of_checks_that_settle_as_much_the_shortest_comes_first() -> None:
    # Three causes of a third each, each settled by a check of its own: choke in 3 minutes, air
    # filter in 5, timing light in 15, flywheel in 25.
    third = {"air_filter_dirty": 1 / 3, "choke_on": 1 / 3, "timing_retarded": 1 / 3}
    p = np.array([third.get(id_, 0.0) for id_ in KNOWN.causes])
    rate = check_rates(p, list(KNOWN.checks.values()), {}, KNOWN)
    asked = ["choke", "air_filter", "timing_light", "flywheel"]
    assert sorted(asked, key=lambda id_: -rate[id_]) == asked
    assert _ids(third, Engine("four", "carburettor"))[:2] == asked[:2]


def test_a_result_that_is_known_is_not_asked_for_again() -> None:
    causes = {"air_filter_dirty": 0.5, "timing_retarded": 0.5}
    assert "air_filter" in _ids(causes, Engine())
    assert "air_filter" not in _ids(causes, Engine(), {"air_filter": "clean"})
    assert "flywheel" in _ids(causes, Engine())
    assert not {"flywheel", "timing_light"} & set(_ids(causes, Engine(), {"timing": "as_manual"}))


def test_the_wet_test_comes_once_the_dry_one_is_known() -> None:
    causes = {"rings_worn": 0.5, "compression_low": 0.5}
    p = np.array([causes.get(id_, 0.0) for id_ in KNOWN.causes])
    rate = check_rates(p, list(KNOWN.checks.values()), {}, KNOWN)
    assert "compression_dry" in rate
    assert "compression_wet" not in rate
    # What the wet test would bring is seen from the dry one.
    alone = check_rates(p, [KNOWN.checks["compression_dry"]], {}, KNOWN)
    assert rate["compression_dry"] > alone["compression_dry"]
    assert "compression_wet" in _ids(causes, Engine("four"), {"compression_dry": "low"})
    assert "compression_wet" not in _ids(causes, Engine("two"), {"compression_dry": "low"})


def test_a_settled_cause_needs_no_check() -> None:
    assert _ids({"choke_on": 1.0}, Engine("four", "carburettor")) == []
    assert _ids({"runs_well": 0.9, "plug_old": 0.1}, Engine(), judged=FREE) == []
    assert _ids({}, Engine()) == []


def test_an_engine_that_may_not_run_freely_is_checked_however_healthy_the_plug_seems() -> None:
    causes = {"runs_well": 0.9, "air_leak": 0.1}
    assert _ids(causes, Engine(), judged=FREE) == []
    assert "intake_leak" in _ids(causes, Engine(), judged=Verdict("check", "not_under_load"))


@few
@given(st.from_type(Condition), st.from_type(Engine))
def test_checks_fit_engine_causes_and_verdict(condition: Condition, engine: Engine) -> None:
    judged = verdict(condition, KNOWN)
    probabilities = cause_probabilities(condition, engine, {}, KNOWN)
    checks = next_checks(probabilities, engine, {}, judged, KNOWN)
    assert len(checks) <= MOST_CHECKS
    for check in checks:
        known = KNOWN.checks[check.id]
        assert known.kind.fits(engine)
        if judged.engine == "do_not_start":
            assert known.needs == "nothing"
    if judged.engine == "do_not_start":
        assert checks[0].id == "look_into_cylinder"


def test_what_turns_the_engine_waits_while_it_must_not_turn() -> None:
    causes = {"weak_ignition": 0.5, "compression_low": 0.5}
    assert "spark_test" in _ids(causes, Engine("four"))
    danger = Verdict("replace", "do_not_start")
    ids = _ids(causes, Engine("four"), judged=danger)
    assert ids[0] == "look_into_cylinder"
    assert not {"spark_test", "compression_dry", "leak_down"} & set(ids)


def test_cautions_of_another_engine_are_left_out() -> None:
    spark = replace(KNOWN.checks["spark_test"], cautions=("premix_oil", "leads_grounded"))
    known = replace(KNOWN, checks={spark.id: spark})
    causes = dict.fromkeys(KNOWN.causes, 0.0) | {"weak_ignition": 0.5, "compression_low": 0.5}
    for stroke, cautions in (
        ("two", ("premix_oil", "leads_grounded")),
        ("four", ("leads_grounded",)),
        (None, ("premix_oil", "leads_grounded")),
    ):
        (check,) = next_checks(causes, Engine(stroke), {}, RUN, known)
        assert check.cautions == cautions
