"""The density of the air that an engine breathes, from altitude, temperature and humidity."""

import math
from dataclasses import dataclass

from tipvision.workshop.units import KELVIN_AT_0_C

# Constants of the standard atmosphere; source published: ISO 2533:1975.
PRESSURE_AT_SEA = 101_325.0  # Pa
TEMPERATURE_AT_SEA = 288.15  # K
LAPSE = 0.0065  # K/m, up to 11 km
GRAVITY = 9.80665  # m/s²
EARTH_RADIUS = 6_356_766.0  # m
GAS_DRY = 287.05287  # J/(kg·K), of dry air

GAS_VAPOUR = 461.53  # J/(kg·K), of water vapour; published: its molar mass 18.015 g/mol

LOWEST_M, HIGHEST_M = -500.0, 6000.0  # of ground that engines are used on; our estimate
COLDEST_C, HOTTEST_C = -40.0, 55.0  # of air that engines are used in; our estimate


@dataclass(frozen=True)
class Air:
    """altitude_m: above sea level, geometric. temperature_c: None is the standard's at that
    altitude. humidity: relative, 0 to 1, over water."""

    altitude_m: float
    temperature_c: float | None = None
    humidity: float = 0.0

    def __post_init__(self) -> None:
        if not LOWEST_M <= self.altitude_m <= HIGHEST_M:
            raise ValueError(
                f"An altitude of {self.altitude_m:.0f} m is not between {LOWEST_M:.0f} and"
                f" {HIGHEST_M:.0f} m."
            )
        if not COLDEST_C <= self.celsius <= HOTTEST_C:
            raise ValueError(
                f"An air temperature of {self.celsius:.0f} °C is not between {COLDEST_C:.0f} and"
                f" {HOTTEST_C:.0f} °C."
            )
        if not 0.0 <= self.humidity <= 1.0:
            raise ValueError(f"A humidity of {100 * self.humidity:.0f} % is not within 0 to 100 %.")

    @property
    def celsius(self) -> float:
        """The temperature, °C, whether said or standard."""
        if self.temperature_c is not None:
            return self.temperature_c
        return standard_temperature(self.altitude_m) - KELVIN_AT_0_C


def _geopotential(altitude_m: float) -> float:
    return EARTH_RADIUS * altitude_m / (EARTH_RADIUS + altitude_m)


def standard_temperature(altitude_m: float) -> float:
    """Temperature of the standard atmosphere, K, at a geometric altitude in m up to 11 km.

    Source published: ISO 2533:1975.
    """
    return TEMPERATURE_AT_SEA - LAPSE * _geopotential(altitude_m)


def standard_pressure(altitude_m: float) -> float:
    """Pressure of the standard atmosphere, Pa, at a geometric altitude in m up to 11 km.

    Source published: ISO 2533:1975.
    """
    ratio = standard_temperature(altitude_m) / TEMPERATURE_AT_SEA
    pressure: float = PRESSURE_AT_SEA * ratio ** (GRAVITY / (GAS_DRY * LAPSE))
    return pressure


def saturation_pressure(celsius: float) -> float:
    """Pressure of saturated water vapour over (supercooled) liquid water, Pa, at -150 to 58 °C.

    Source published: Murphy and Koop, Quarterly Journal of the Royal Meteorological Society, 2005.
    """
    t = celsius + KELVIN_AT_0_C
    ln = 54.842763 - 6763.22 / t - 4.21 * math.log(t) + 0.000367 * t
    cold = 53.878 - 1331.22 / t - 9.44523 * math.log(t) + 0.014025 * t
    return math.exp(ln + math.tanh(0.0415 * (t - 218.8)) * cold)


def densities(air: Air) -> tuple[float, float]:
    """Density of the moist air and of the dry air in it, kg/m³.

    The pressure is the standard one at that altitude: weather moves it by a few per cent. Dry air
    and vapour are ideal gases that share it (Dalton's law).
    """
    kelvin = air.celsius + KELVIN_AT_0_C
    vapour = air.humidity * saturation_pressure(air.celsius)
    dry = (standard_pressure(air.altitude_m) - vapour) / (GAS_DRY * kelvin)
    return dry + vapour / (GAS_VAPOUR * kelvin), dry
