from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.batch.views.made import batch, entry
from tests.report import samples
from tipvision.batch.views import tally as module
from tipvision.batch.views.rows import rows_of
from tipvision.batch.views.tally import GROUPS, OTHER_MACHINES, Tally, group_of


@settings(max_examples=12)
@given(st.integers(0, 60), st.integers(0, 9))
def test_the_counts_add_up(count: int, seed: int) -> None:
    tally, rows, entries = Tally(), [], list(batch(count, seed))
    for one in entries:
        tally.add(rows_of(one))
        rows += rows_of(one)
    assert tally.photos == len(entries)
    assert tally.rows == len(rows) == sum(tally.groups[group] for group in GROUPS)
    assert tally.read == sum(row.state == "read" for row in rows)
    assert sum((m for m in tally.machines.values()), Counter()) == tally.groups
    assert tally.engine.total() == sum(row.engine_verdict is not None for row in rows)
    reasons = [r["code"] for one in entries for record in one.records for r in record["reasons"]]
    assert tally.reasons == Counter(reasons)


def test_a_row_is_counted_by_its_answer_or_else_by_its_state() -> None:
    groups = {name: group_of(rows_of(entry("a", one))[0]) for name, one in samples.ALL.items()}
    assert groups == {
        "read": "dry_black",
        "unclear": "unclear",
        "gated": "unclear",
        "only findings": "none",
        "pale": "chalk_white",
        "several": "unclear",
        "not found": "unclear",
        "not a plug": "not_a_plug",
        "unreadable": "unreadable",
    }


def test_machines_beyond_the_most_count_together(monkeypatch) -> None:
    monkeypatch.setattr(module, "MOST_MACHINES", 3)
    tally = Tally()
    for number in (*range(6), 0, None):
        machine = None if number is None else f"M{number}"
        tally.add(rows_of(entry("a.jpg", samples.READ, machine=machine)))
    counts = {name: counter.total() for name, counter in tally.machines.items()}
    assert counts == {"M0": 2, "M1": 1, "M2": 1, OTHER_MACHINES: 3, None: 1}
