"""Casts of a wrong white balance: none when right, bounded when wrong, the same for all lamps."""

import numpy as np
import pytest

from pipelines.studio.camera_colour import LUMINANCE, MOST_DUV, cast, temperature
from pipelines.studio.lights.spectra import ILLUMINANTS, illuminant, observer


def _white(name: str) -> np.ndarray:
    return np.asarray(illuminant(name) @ observer())


@pytest.mark.parametrize(
    ("name", "kelvin"),
    # CIE 15: correlated colour temperatures of the illuminants.
    [("A", 2856), ("D50", 5003), ("D65", 6504), ("FL2", 4230), ("FL11", 4000), ("LED-B3", 4103)],
)
def test_temperatures_of_the_illuminants_are_those_published(name: str, kelvin: float) -> None:
    assert temperature(_white(name)) == pytest.approx(kelvin, rel=0.012)


@pytest.mark.parametrize("name", ILLUMINANTS)
def test_a_right_balance_has_no_cast_and_a_wrong_one_is_bounded(name: str) -> None:
    xyz = _white(name)
    assert cast(xyz, 1.0, 0.0, 0.0) == pytest.approx(1.0)
    kelvin = temperature(xyz)
    for balance in (0.0, 0.3):
        for mired in (-500.0, 0.0, 500.0):
            for duv in (-1.0, 0.0, 1.0):
                factors = cast(xyz, balance, mired, duv)
                assert factors @ LUMINANCE == pytest.approx(1.0)
                # No error goes beyond what these ends of the range leave.
                if 2500 < kelvin < 9000:
                    assert np.array_equal(
                        factors, cast(xyz, balance, mired, np.sign(duv) * MOST_DUV)
                    )
                    assert factors.min() > 0.1 and factors.max() < 2.6


def test_directions_of_the_errors() -> None:
    red, _, blue = cast(_white("A"), 0.3, 0.0, 0.0)
    assert red > 1.2 and blue < 0.8
    red, green, blue = cast(_white("D65"), 1.0, 0.0, 0.015)
    # Believed greener than it is: shown magenta.
    assert green < 1 < min(red, blue)
    warm, cold = (cast(_white("FL2"), 1.0, m, 0.0) for m in (40.0, -40.0))
    assert warm[0] > warm[2] and cold[0] < cold[2]


def test_a_narrow_lamp_leaves_no_stronger_cast_than_a_bulb_of_its_temperature() -> None:
    lamp, bulb = (cast(_white(n), 0.2, 0.0, 0.0) for n in ("LED-RGB1", "A"))
    assert lamp == pytest.approx(bulb, abs=0.05)
