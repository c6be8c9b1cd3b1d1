"""The doubt in a light, as the spread of a mid grey."""

import numpy as np
import pytest

from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.light.doubt import doubtful
from tipvision.light.light import Light, grey_sd


@pytest.mark.parametrize("gain", [0.25, 1.0, 4.0])
def test_the_spread_is_that_of_an_18_percent_grey_at_any_exposure(gain: float) -> None:
    correction = gain * RGB_TO_XYZ
    light = Light("estimate", Correction(correction), doubtful(correction, 0.05, 0.3))
    draws = doubtful(RGB_TO_XYZ, 0.05, 0.3).xyz(np.full(3, 0.18))
    assert grey_sd(light) == pytest.approx(xyz_to_lab(draws).std(axis=0), abs=0.02)


def test_curves_and_roots_are_undone(stored) -> None:
    light = Light("chart", stored.correction, stored.samples)
    assert (grey_sd(light) > 0).all() and (grey_sd(light) < 5).all()
    scaled = Light("chart", stored.correction.scaled(2.0), stored.samples.scaled(2.0))
    assert grey_sd(scaled) == pytest.approx(grey_sd(light), rel=0.4)
