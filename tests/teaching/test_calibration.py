"""Calibration finds how much too sure a model is."""

import numpy as np
import pytest

from tipvision.teaching.calibration import calibrated, sharpened


def test_calibration_undoes_what_makes_a_model_too_sure():
    rng = np.random.default_rng(2)
    true = np.log(rng.dirichlet(np.ones(5), 4000))
    truth = np.array([rng.choice(5, p=np.exp(row)) for row in true])
    found = calibrated(2.0 * true, truth)
    assert found.sharpness == pytest.approx(0.5, abs=0.05)
    assert np.abs(found.shifts).max() < 0.15
    np.testing.assert_allclose(np.exp(sharpened(2.0 * true, found)).sum(axis=1), 1.0)
