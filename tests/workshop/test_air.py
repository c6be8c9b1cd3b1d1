"""The density of air against published tables and a second, fuller formula."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.workshop.air import (
    Air,
    densities,
    saturation_pressure,
    standard_pressure,
    standard_temperature,
)

# Published: ISO 2533:1975, by geometric altitude in m: temperature K, pressure Pa, density kg/m³.
# Rows above 2000 m, reference library: ambiance 1.3.1, rounded as the standard does.
STANDARD = {
    0: (288.150, 1.01325e5, 1.22500),
    1000: (281.651, 8.98763e4, 1.11166),
    2000: (275.154, 7.95014e4, 1.00655),
    3000: (268.659, 7.01211e4, 0.909254),
    4000: (262.166, 6.16604e4, 0.819347),
    5000: (255.676, 5.40483e4, 0.736429),
}
# Published: vapour pressure of water in kPa, Handbook of Chemistry and Physics, 1992-93.
VAPOUR = {0: 0.61129, 10: 1.2281, 15: 1.7056, 20: 2.3388, 25: 3.1690, 30: 4.2455, 40: 7.3814}


@pytest.mark.parametrize("altitude", STANDARD)
def test_the_standard_atmosphere(altitude: int) -> None:
    kelvin, pressure, density = STANDARD[altitude]
    assert standard_temperature(altitude) == pytest.approx(kelvin, abs=6e-4)
    assert standard_pressure(altitude) == pytest.approx(pressure, rel=6e-6)
    assert densities(Air(altitude)) == pytest.approx((density, density), rel=6e-6)


@pytest.mark.parametrize("celsius", VAPOUR)
def test_saturated_vapour(celsius: int) -> None:
    assert saturation_pressure(celsius) == pytest.approx(1000 * VAPOUR[celsius], rel=1.2e-3)


def cipm_2007(celsius: float, pascal: float, humidity: float) -> float:
    """Density of moist air, kg/m³; published: Picard et al., Metrologia 45, 149 (2008), with
    compressibility and enhancement, for 0.04 % carbon dioxide."""
    t, r = celsius + 273.15, 8.314472
    saturated = math.exp(1.2378847e-5 * t * t - 1.9121316e-2 * t + 33.93711047 - 6343.1645 / t)
    enhanced = 1.00062 + 3.14e-8 * pascal + 5.6e-7 * celsius**2
    x = humidity * enhanced * saturated / pascal
    squeezed = (
        1
        - pascal
        / t
        * (
            (1.58123e-6 - 2.9331e-8 * celsius + 1.1043e-10 * celsius**2)
            + (5.707e-6 - 2.051e-8 * celsius) * x
            + (1.9898e-4 - 2.376e-6 * celsius) * x * x
        )
        + (pascal / t) ** 2 * (1.83e-11 - 0.765e-8 * x * x)
    )
    dry, water = 28.96546e-3, 18.01528e-3
    return pascal * dry / (squeezed * r * t) * (1 - x * (1 - water / dry))


@given(st.floats(0.0, 3500.0), st.floats(0.0, 40.0), st.floats(0.0, 1.0))
def test_moist_air_against_the_metrologists_formula(
    altitude: float, celsius: float, humidity: float
) -> None:
    """Ideal gases are good to 0.1 % here: a twentieth of the smallest jet step."""
    moist, _ = densities(Air(altitude, celsius, humidity))
    assert moist == pytest.approx(
        cipm_2007(celsius, standard_pressure(altitude), humidity), rel=1.0e-3
    )


@given(st.floats(-500.0, 5500.0), st.floats(-40.0, 50.0), st.floats(0.0, 1.0))
def test_higher_warmer_and_damper_air_is_thinner(altitude: float, c: float, damp: float) -> None:
    moist, dry = densities(Air(altitude, c, damp))
    assert 0 < dry <= moist
    assert densities(Air(altitude + 100, c, damp))[1] < dry
    assert densities(Air(altitude, c + 1, damp))[1] < dry
    assert densities(Air(altitude, c, 0.0))[0] >= moist


@pytest.mark.parametrize(
    ("altitude", "celsius", "humidity", "word"),
    [
        (9000, 15, 0, "altitude"),
        (-600, 15, 0, "altitude"),
        (0, 80, 0, "temperature"),
        (0, math.nan, 0, "temperature"),
        (0, 15, 1.2, "humidity"),
    ],
)
def test_air_that_no_engine_breathes(
    altitude: float, celsius: float, humidity: float, word: str
) -> None:
    with pytest.raises(ValueError, match=word):
        Air(altitude, celsius, humidity)
