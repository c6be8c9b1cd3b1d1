"""The interval beside every rate is the one that a reference library gives."""

import pytest
from scipy.stats import binom

from pipelines.bench.intervals import median_interval, rate_line


def test_a_rate_of_nothing_says_so():
    assert rate_line("x", 0, 0) == "x: none to count"
    assert rate_line("x", 5, 5) == "x: 5 of 5 = 100% (95 % interval 57% to 100%)"


@pytest.mark.parametrize("count", [6, 10, 31, 300, 1200])
def test_a_medians_interval_leaves_out_what_a_fair_coin_allows(count):
    median, (low, high) = median_interval([float(v) for v in range(count)][::-1])
    assert median == (count - 1) / 2
    rank = binom.ppf(0.025, count, 0.5)  # reference library: scipy
    assert (low, high) == (rank - 1, count - rank)


def test_a_few_values_have_their_range_and_none_have_no_median():
    assert median_interval([3.0, 1.0]) == (2.0, (1.0, 3.0))
    with pytest.raises(ValueError, match="no values"):
        median_interval([])
