"""Counts that the sets promise."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.studio.looks import LOOKS
from pipelines.studio.looks.deck import BLOCK, another, counts, slot
from pipelines.studio.looks.look import REFERENCES, look


@pytest.mark.parametrize("many", [4000, 4050, 4100])
def test_report_has_the_photos_that_it_promises(many: int) -> None:
    slots = [slot("report", i) for i in range(many)]
    plugs = [s for s in slots if s.plug]
    assert len(plugs) >= 3000
    assert len(slots) - len(plugs) >= 1000
    conditions = Counter(s.condition for s in plugs)
    assert conditions["unused"] >= 600
    assert all(conditions[c] >= 400 for c in ("normal", "dry_black", "wet_black", "chalk_white"))
    assert sum(s.mixed for s in plugs) >= len(plugs) / 4
    assert sum(s.pale for s in plugs) >= conditions["normal"] / 5
    references = Counter(s.reference for s in plugs)
    assert references["grey_card"] == pytest.approx(len(plugs) / 20, rel=0.1)
    references["no_reference"] += references.pop("grey_card")
    # Whole blocks hold the quarters to one; the rest of a block may be off by its own luck.
    off = 1 if many % BLOCK == 0 else 25
    assert set(references) == {"chart", "bench_card", "stored_light", "no_reference"}
    assert all(abs(n - len(plugs) / 4) <= off for n in references.values())


@pytest.mark.parametrize("name", LOOKS)
def test_every_look_shows_every_reference(name: str) -> None:
    references = Counter(s.reference for s in (slot(name, i) for i in range(BLOCK)) if s.plug)
    assert set(references) == set(REFERENCES)
    assert references["grey_card"] >= 15


def test_further_plugs_of_a_row_are_drawn_like_the_first() -> None:
    rng = np.random.default_rng(1)
    drawn = [another(look("train"), rng) for _ in range(2000)]
    shares = Counter(s.condition for s in drawn)
    # Five standard deviations of a share of 0.19 in 2,000 draws are 0.044.
    for condition, share in look("train").conditions:
        label = None if condition == "none" else condition
        assert shares[label] / 2000 == pytest.approx(share, abs=0.044)
    assert not any(s.mixed or s.pale for s in drawn if s.condition is None)
    assert not any(s.pale for s in drawn if s.condition != "normal")
    assert any(s.pale for s in drawn) and any(s.mixed for s in drawn)


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
