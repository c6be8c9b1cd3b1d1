"""What the model knows, and how far away something is from it."""

import numpy as np
import pytest
from scipy.spatial.distance import mahalanobis

from tipvision.condition.known import Known

RNG = np.random.default_rng(4)
MIX = RNG.standard_normal((3, 3))
KNOWN = Known(
    np.array([1.0, 2.0, 3.0]),
    np.array([1.0, 2.0, 0.5]),
    RNG.standard_normal((2, 3)),
    np.linalg.inv(MIX @ MIX.T + np.eye(3)),
    5.0,
)


def test_it_is_the_distance_from_the_nearest_middle():
    """Reference library: scipy."""
    values = np.array([2.0, 5.0, 3.5])
    scaled = (values - KNOWN.usual) / KNOWN.spread
    expected = min(mahalanobis(scaled, m, KNOWN.precision) for m in KNOWN.middles)
    assert KNOWN.distance(values) == pytest.approx(expected)


def test_what_is_not_known_counts_as_usual():
    values = np.array([2.0, np.nan, 3.5])
    assert KNOWN.distance(values) == KNOWN.distance(np.where(np.isnan(values), KNOWN.usual, values))
