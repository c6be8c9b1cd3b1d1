"""Findings beside the condition: one logistic regression for each that was trained and measured."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tipvision.condition.condition import FINDINGS
from tipvision.condition.curves import Array, Curves

ALONE = ("fuel_wet", "ash", "glazed", "coloured", "coolant", "dust")
"""Findings that can describe a plug without any condition: they cover the nose."""


@dataclass(frozen=True)
class Detectors:
    """names: k of `FINDINGS`. slopes: float64 (k, f, knots - 1), of the columns that the model's
    `Curves` standardise; offsets: float64 (k,). Calibration is in them already."""

    names: tuple[str, ...]
    slopes: Array
    offsets: Array


def detected(detectors: Detectors, curves: Curves, values: Array) -> dict[str, float | None]:
    """How likely each finding is, over `FINDINGS`; None where no detector is.

    values: float64 (f,), one value of each feature in the order of `features.NAMES`.
    """
    columns = curves.standard(values[None])[0]
    scores = np.tensordot(detectors.slopes, columns, axes=2) + detectors.offsets
    chances = 1.0 / (1.0 + np.exp(-np.clip(scores, -50, 50)))
    told = dict(zip(detectors.names, chances.tolist(), strict=True))
    return {name: told.get(name) for name in FINDINGS}


def describes_alone(findings: Mapping[str, float | None]) -> bool:
    """Whether a finding that can stand without a condition is more likely than not."""
    return any((findings[name] or 0.0) >= 0.5 for name in ALONE)
