"""The interval beside every rate is the one that a reference library gives."""

import pytest
from scipy.stats import binomtest

from tipvision.teaching.intervals import wilson


@pytest.mark.parametrize(("hits", "count"), [(0, 5), (5, 5), (3, 58), (190, 200), (1, 1)])
def test_it_agrees_with_scipy(hits, count):
    expected = binomtest(hits, count).proportion_ci(method="wilson")  # reference library: scipy
    assert wilson(hits, count) == pytest.approx((expected.low, expected.high), abs=1e-6)


def test_of_nothing_anything_is_possible():
    assert wilson(0, 0) == (0.0, 1.0)
