"""The count of minutes is right, and every order plays by the same rules."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.bench.next_checks import (
    ORDERS,
    TRADE_ORDER,
    begin,
    by_minutes,
    do,
    main,
    minutes,
    saving,
    times_usual,
)
from pipelines.bench.workshop_cases import Case, draw_case
from tipvision.causes.explanation import Engine
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.rank import cause_probabilities
from tipvision.condition.condition import FINDINGS, LABELS, Condition

KNOWN = shipped_knowledge()
SHARES = dict.fromkeys(LABELS, 0.02) | {"dry_black": 0.9}
SOOTY = Condition("dry_black", SHARES, ("dry_black",), 0.95, dict.fromkeys(FINDINGS, 0.02))
USUAL = {name: max(fact.usual, key=fact.usual.get) for name, fact in KNOWN.facts.items()}
STUCK = Case(Engine("four", "carburettor"), SOOTY, "choke_on", {**USUAL, "choke": "stuck"})


def test_minutes_by_hand() -> None:
    # The shortest of the checks that look for a cause come first: those of less than 3 minutes,
    # then those of 3, the choke's among them.
    search = begin(STUCK, KNOWN)
    before = [check.minutes for check in search.checks if check.minutes < 3]
    first = [check.id for check in search.checks if check.minutes == 3]
    place = first.index("choke") + 1
    assert minutes(STUCK, by_minutes, KNOWN)[0] == sum(before) + 3 * place


def test_a_cause_that_nothing_shows_is_never_found() -> None:
    unseen = replace(STUCK, results=USUAL)  # the choke moves freely: it was not that
    assert minutes(unseen, by_minutes, KNOWN) == [np.inf, np.inf]


def test_results_move_the_causes_as_in_the_tool() -> None:
    search = begin(STUCK, KNOWN)
    for check in search.checks[:4]:
        do(search, check, KNOWN)
    asked = cause_probabilities(STUCK.condition, STUCK.engine, search.told, KNOWN)
    for cause, p in zip(search.causes, search.p, strict=True):
        assert p == pytest.approx(asked[cause.id])


def test_every_order_finds_the_same_causes() -> None:
    rng = np.random.default_rng(3)
    for case in [draw_case(KNOWN, rng) for _ in range(8)]:
        found = [np.isfinite(minutes(case, order, KNOWN)) for order in ORDERS.values()]
        assert all((other == found[0]).all() for other in found)


def test_a_danger_is_looked_into_first_whatever_the_order() -> None:
    broken = replace(SOOTY, findings={**SOOTY.findings, "metal_specks": 0.9})
    search = begin(replace(STUCK, condition=broken), KNOWN)
    assert "cylinder" in search.told
    assert {check.needs for check in search.checks} == {"nothing"}


def test_the_trades_order_names_causes_and_leaves_few_without_a_check() -> None:
    for ids in TRADE_ORDER.values():
        assert len(set(ids)) == len(ids)
        for id_ in ids:
            best = max(times_usual(KNOWN.causes[id_], c, KNOWN) for c in KNOWN.checks.values())
            assert best > 3


def test_what_is_saved_has_an_interval_that_holds_it() -> None:
    rng = np.random.default_rng(4)
    other = rng.uniform(10, 50, 400)
    saved, low, high = saving(other * rng.uniform(0.6, 1.0, 400), other, rng)
    assert saved == pytest.approx(0.2, abs=0.03)
    assert low < saved < high < low + 0.1


def test_it_prints_every_order_and_fails_where_too_little_is_saved(capsys, monkeypatch) -> None:
    monkeypatch.setattr("pipelines.bench.next_checks.ASKED_SAVING", 2.0)
    assert main(["--cases", "40"]) == 1
    out = capsys.readouterr().out
    for name in ORDERS:
        assert f"  {name}: " in out
