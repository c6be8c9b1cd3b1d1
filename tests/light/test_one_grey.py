"""One grey fixes the greys and leaves colours in doubt."""

import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.one_grey import correction_of, samples_of, steady_mean

LN_GAIN = np.log([0.7, 0.9, 1.6])


def test_the_grey_comes_out_neutral() -> None:
    seen = 0.18 / np.exp(LN_GAIN)
    assert correction_of(LN_GAIN).xyz(seen) == pytest.approx(RGB_TO_XYZ @ np.full(3, 0.18))


def test_mixing_alone_moves_colours_and_no_grey() -> None:
    samples = samples_of(LN_GAIN, np.zeros(3), 0.0)
    grey, tan = (samples.xyz(rgb / np.exp(LN_GAIN)) for rgb in ([0.2] * 3, [0.36, 0.27, 0.19]))
    assert grey.std(axis=0) == pytest.approx(np.zeros(3), abs=1e-12)
    assert (tan.std(axis=0) / tan.mean(axis=0)).min() > 0.003


def test_the_spread_is_the_one_asked_for() -> None:
    samples = samples_of(np.zeros(3), np.array([0.02, 0.0, 0.05]), 0.1)
    rgb = np.log(np.linalg.solve(RGB_TO_XYZ, samples.xyz([0.2] * 3).T))
    assert rgb.std(axis=1) == pytest.approx(np.hypot([0.02, 0.0, 0.05], 0.1), rel=0.02)


def test_the_mean_forgets_shine_and_dust() -> None:
    rng = np.random.default_rng(4)
    clean = 0.2 * np.exp(0.02 * rng.normal(size=(2000, 3)))
    spoilt = clean.copy()
    spoilt[:200], spoilt[200:400] = 1.0, 0.0
    mean, error = steady_mean(spoilt)
    assert mean == pytest.approx(np.full(3, 0.2), rel=0.003)
    assert (error > 0).all() and (error < 0.001).all()
