"""The budget counts each station once, and says so when a limit does not hold."""

import itertools
from dataclasses import replace

import pytest

from pipelines.bench import budget
from pipelines.bench.budget import LIMITS, REST, Case, Clock, measured, told
from tipvision.shipped import demo_folder

PHOTO = Case("a demo photo", demo_folder() / "tb-07-a.jpg")


def test_a_station_called_from_another_counts_for_itself_alone(monkeypatch):
    now = [0.0]
    monkeypatch.setattr(budget.time, "process_time", lambda: now[0])

    def takes(seconds: float) -> None:
        now[0] += seconds

    clock = Clock()
    inner = clock.timed("photo", takes)

    def outer() -> None:
        takes(1.0)
        inner(4.0)
        takes(0.5)

    clock.timed("light", outer)()
    clock.timed("light", takes)(2.0)
    assert clock.spent == {**dict.fromkeys(LIMITS, 0.0), "photo": 4.0, "light": 3.5}


def test_all_stations_of_a_reading_are_on_the_clock_and_none_twice(monkeypatch):
    looks = itertools.count()  # every look at the clock finds it a second on
    monkeypatch.setattr(budget.time, "process_time", lambda: float(next(looks)))
    readings, turns = measured(PHOTO, 1)
    last = next(looks) - 1
    ((peer, spent),) = turns
    assert readings[0].measurement is not None
    assert set(spent) == set(LIMITS)
    assert all(seconds > 0 for seconds in spent.values())
    assert peer == 1.0
    assert sum(spent.values()) == last - 2.0  # the peer took the first two looks


@pytest.mark.parametrize(("limit", "holds"), [(1e9, True), (0.0, False)])
def test_a_limit_that_does_not_hold_is_told(monkeypatch, capsys, limit, holds):
    monkeypatch.setattr(budget, "LIMITS", {**dict.fromkeys(LIMITS, 1e9), REST: limit})
    assert told(replace(PHOTO, limit=1e9), 1) is holds
    assert ("is over" in capsys.readouterr().out) is not holds
