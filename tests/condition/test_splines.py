"""The columns span the natural cubic splines on their knots, and nothing else."""

import numpy as np
from scipy.interpolate import CubicSpline

from tipvision.condition.splines import BEYOND, columns_of

KNOTS = np.array([[0.0, 1.0, 2.5, 3.0, 5.0], [-2.0, -1.0, 0.0, 1.0, 2.0]])


def test_they_span_every_natural_spline_through_the_knots():
    """Reference library: scipy's natural cubic spline."""
    rng = np.random.default_rng(1)
    for f, knots in enumerate(KNOTS):
        x = np.linspace(knots[0], knots[-1], 200)
        columns = columns_of(np.tile(x[:, None], (1, 2)), KNOTS)[:, f]
        spline = CubicSpline(knots, rng.standard_normal(5), bc_type="natural")(x)
        design = np.column_stack([np.ones(200), columns])
        left = spline - design @ np.linalg.lstsq(design, spline, rcond=None)[0]
        assert np.abs(left).max() < 1e-9


def test_they_go_on_straight_beyond_the_outer_knots():
    knots = KNOTS[:1]
    span = np.ptp(knots)
    for end, way in ((knots[0, 0], -1), (knots[0, -1], 1)):
        x = end + way * np.linspace(0, BEYOND * span, 5)
        steps = np.diff(columns_of(x[:, None], knots)[:, 0], axis=0)
        np.testing.assert_allclose(steps, np.broadcast_to(steps[0], steps.shape), atol=1e-12)


def test_what_is_very_far_counts_as_far():
    far = columns_of(np.array([[1e6, -1e6]]), KNOTS)
    ends = KNOTS[[0, 1], [-1, 0]] + BEYOND * np.ptp(KNOTS, axis=1) * (1, -1)
    np.testing.assert_allclose(far, columns_of(ends[None], KNOTS))
