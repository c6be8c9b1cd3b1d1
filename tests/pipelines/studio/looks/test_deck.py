"""Counts that the sets promise."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.studio.looks import LOOKS
from pipelines.studio.looks.deck import BLOCK, counts, slot


def test_report_has_the_photos_that_it_promises() -> None:
    slots = [slot("report", i) for i in range(4000)]
    plugs = [s for s in slots if s.plug]
    assert len(plugs) >= 3000
    assert len(slots) - len(plugs) >= 1000
    conditions = Counter(s.condition for s in plugs)
    assert conditions["unused"] >= 600
    assert all(conditions[c] >= 400 for c in ("normal", "dry_black", "wet_black", "chalk_white"))
    references = Counter(s.reference for s in plugs)
    assert set(references.values()) == {len(plugs) // 4}


@pytest.mark.parametrize("name", LOOKS)
def test_a_quarter_lies_between_two_looks_and_a_fifth_of_normal_is_pale(name: str) -> None:
    slots = [s for s in (slot(name, i) for i in range(BLOCK)) if s.plug]
    assert sum(s.mixed for s in slots) >= len(slots) / 4
    normal = [s for s in slots if s.condition == "normal"]
    assert sum(s.pale for s in normal) >= len(normal) / 5
    assert not any(s.pale for s in slots if s.condition != "normal")


def test_slots_do_not_change_and_blocks_differ() -> None:
    first = [slot("train", i) for i in range(BLOCK)]
    assert first == [slot("train", i) for i in range(BLOCK)]
    assert first != [slot("train", i + BLOCK) for i in range(BLOCK)]


@given(st.lists(st.floats(0.01, 5.0), min_size=1, max_size=7), st.integers(0, 500))
def test_counts_sum_up_and_are_nearest(shares: list[float], total: int) -> None:
    got = counts(shares, total)
    assert sum(got) == total
    assert all(abs(g - s / sum(shares) * total) < 1 for g, s in zip(got, shares, strict=True))
