"""Whether one plug grows darker or lighter from reading to reading."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tipvision.comparison.earlier import Earlier

LEAST_SD = 0.5  # of L*: no reading is surer than that; our estimate
REACH = 1.96  # standard deviations of a 95 % interval of a normal distribution


@dataclass(frozen=True)
class Trend:
    """readings: oldest first, the newest last. change: L* from the first to the last along the
    fitted line. sd: its standard deviation."""

    readings: tuple[Earlier, ...]
    change: float
    sd: float

    @property
    def is_real(self) -> bool:
        """Whether the 95 % interval of the change leaves 0 out."""
        return abs(self.change) > REACH * self.sd


def trend_of(readings: Sequence[Earlier]) -> Trend | None:
    """A straight line through the lightness of the readings, each weighed by its own doubt.

    Readings are taken as evenly spaced: hours on the plug are seldom known. Their doubts are taken
    as independent, each photo with its own light; under one light the change is surer than this
    says. None for fewer than two readings. Source of the method: weighted least squares, textbook
    statistics.
    """
    if len(readings) < 2:
        return None
    place = np.linspace(0.0, 1.0, len(readings))
    lightness = np.array([one.lab[0] for one in readings])
    weights = np.array([1.0 / max(one.sd[0], LEAST_SD) ** 2 for one in readings])
    middle = weights @ place / weights.sum()
    spread = weights @ (place - middle) ** 2
    change = float(weights @ ((place - middle) * lightness) / spread)
    return Trend(tuple(readings), change, float(spread**-0.5))
