"""A check is worth what it brings a minute, alone or with the one that its result leads to."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import entropy

from tipvision.causes.foresight import BIT, SELDOM, information, rates

FOUR = np.full(4, 0.25)
TELLS = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.0, 1.0]])  # two from the other two
NAMES = np.eye(4)  # each of the four
NOTHING = np.full((4, 2), 0.5)
_positive = st.floats(0.01, 1)


def _rates(p, results, minutes, can_follow=None, is_open=None):
    n = len(results)
    alone = np.zeros((n, n), dtype=bool)
    there = np.ones(n, dtype=bool)
    return rates(
        np.asarray(p),
        results,
        np.asarray(minutes, dtype=float),
        there if is_open is None else np.asarray(is_open),
        alone if can_follow is None else np.asarray(can_follow),
    )


def test_information_of_a_check_that_settles_half_of_the_doubt_by_hand() -> None:
    # Four equal causes are 2 bits; a result that tells two from the other two leaves 1.
    assert information(FOUR, TELLS) == pytest.approx(1.0)
    assert information(FOUR, NOTHING) == pytest.approx(0.0)
    assert information(np.array([1.0, 0.0]), TELLS[1:3]) == pytest.approx(0.0)


@given(arrays(float, 4, elements=_positive), arrays(float, (4, 3), elements=_positive))
def test_information_is_what_the_entropy_is_expected_to_fall_by(p, results) -> None:
    p, results = p / p.sum(), results / results.sum(axis=1, keepdims=True)
    of_result = p @ results
    after = [
        entropy(p * column / q, base=2) for column, q in zip(results.T, of_result, strict=True)
    ]
    told = information(p, results)
    assert told == pytest.approx(entropy(p, base=2) - of_result @ np.array(after), abs=1e-9)
    assert -1e-12 <= told <= entropy(p, base=2)


def test_rates_by_hand() -> None:
    # One that names the cause brings a whole cause found and 2 bits; one that leaves two equal
    # causes brings the foremost to 0.5, half found (1/4), and 1 bit; a coin brings nothing.
    of_each = _rates(FOUR, [NAMES, TELLS, NOTHING], [10, 5, 1])
    assert of_each == pytest.approx([(1 + 2 * BIT) / 10, (0.25 + BIT) / 5, 0.0])


def test_a_check_that_leads_to_another_counts_with_it() -> None:
    # TELLS leaves two causes, and a second check tells these two apart at once: together they bring
    # all that NAMES brings, in 3 minutes.
    apart = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 0.0], [0.0, 1.0]])
    after = [[False, True, False], [True, False, False], [False, False, False]]
    of_each = _rates(FOUR, [TELLS, apart, NAMES], [1, 2, 10], after)
    assert of_each[0] == pytest.approx((1 + 2 * BIT) / 3)
    assert of_each[0] > _rates(FOUR, [TELLS, apart, NAMES], [1, 2, 10])[0] - 1e-12
    # It need not be followed where that would take longer than it is worth.
    slow = _rates(FOUR, [TELLS, apart, NAMES], [1, 500, 10], after)
    assert slow[0] == pytest.approx((0.25 + BIT) / 1)


def test_what_cannot_be_done_now_has_no_rate_but_may_follow() -> None:
    apart = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 0.0], [0.0, 1.0]])
    of_each = _rates(FOUR, [TELLS, apart], [1, 2], [[False, True], [False, False]], [True, False])
    assert of_each[1] == -np.inf
    assert of_each[0] == pytest.approx((1 + 2 * BIT) / 3)


@settings(max_examples=60)
@given(
    arrays(float, 5, elements=_positive),
    st.lists(arrays(float, (5, 3), elements=_positive), min_size=2, max_size=4),
)
def test_a_rate_is_never_below_that_of_the_check_alone_and_halves_with_the_minutes(p, tables):
    tables = [table / table.sum(axis=1, keepdims=True) for table in tables]
    p, minutes = p / p.sum(), np.arange(1.0, len(tables) + 1)
    follow = ~np.eye(len(tables), dtype=bool)
    together = _rates(p, tables, minutes, follow)
    assert (together >= _rates(p, tables, minutes) - 1e-12).all()
    assert _rates(p, tables, 2 * minutes, follow) == pytest.approx(together / 2)


@given(arrays(float, 5, elements=_positive))
def test_a_cause_that_cannot_be_moves_nothing(p) -> None:
    p = p / p.sum()
    table = np.column_stack([np.linspace(0.1, 0.9, 5), np.linspace(0.9, 0.1, 5)])
    more = np.vstack([table, [[0.5, 0.5]]])
    assert _rates([*p, 0.0], [more], [3]) == pytest.approx(_rates(p, [table], [3]))


def test_seldom_results_count_as_one() -> None:
    # Four causes that differ in results alone of which none is met once in 1 / SELDOM.
    rare = np.eye(4) * SELDOM / 2
    table = np.column_stack([rare, 1 - rare.sum(axis=1)])
    assert _rates(FOUR, [table], [1]) == pytest.approx([0.0], abs=1e-9)


def test_nothing_is_left_where_the_facts_rule_every_cause_out() -> None:
    assert (_rates(np.zeros(4), [NAMES, TELLS], [1, 1]) == -np.inf).all()
