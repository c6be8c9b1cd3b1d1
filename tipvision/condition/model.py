"""The condition model as it lies on disk: plain numbers, checked before they are used."""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.condition import CONDITIONS
from tipvision.measure.bands import load_bands
from tipvision.sealed import ModelFault, sealed
from tipvision.shipped import models_folder

FORMAT = 1


@dataclass(frozen=True)
class Profile:
    """How plugs of one condition look.

    lab, covariance: CIELAB D65/2° of the nose, float64 (3,) and (3, 3).
    surface:         for each surface measure, (mean, sd) of its logarithm.
    """

    lab: NDArray[np.float64]
    covariance: NDArray[np.float64]
    surface: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class Model:
    """name, version: go into the record. coverage: what `possible` aims at, 0 to 1.

    slip: probability that a plug looks like none of its own kind; it keeps the model from ever
    being certain. far: Mahalanobis distance from which a colour belongs to no condition.
    """

    name: str
    version: str
    coverage: float
    slip: float
    far: float
    profiles: Mapping[str, Profile]


@cache
def default_model() -> Model:
    """The shipped model."""
    return load_model(models_folder() / "condition")


def load_model(folder: Path) -> Model:
    """The model in `folder` (`parameters.json`, `manifest.json`).

    Raises ModelFault when a file is missing, its SHA-256 differs from the manifest's, or its
    content is not a model of format `FORMAT`.
    """
    _, contents = sealed(folder, ("parameters.json",))
    try:
        data = json.loads(contents["parameters.json"])
        if data["format"] != FORMAT:
            raise ValueError(f"format {data['format']}")
        profiles = {name: _profile(data["profiles"][name]) for name in CONDITIONS}
        numbers = {key: float(data[key]) for key in ("coverage", "slip", "far")}
        if not all(math.isfinite(n) and n > 0 for n in numbers.values()):
            raise ValueError("a number is not positive")
        return Model(
            name=str(data["name"]), version=str(data["version"]), profiles=profiles, **numbers
        )
    except (ValueError, KeyError, TypeError, IndexError) as error:
        raise ModelFault(
            f"The model in {folder} is not one of format {FORMAT}: {error}. Install it again."
        ) from error


def _profile(data: Mapping[str, Any]) -> Profile:
    """Its colour is that of a reference band, or stands in the file (unused has no band)."""
    if "band" in data:
        band = next(b for b in load_bands() if b.name == data["band"])
        lab, covariance = band.mean, band.covariance
    else:
        lab = np.asarray(data["lab"], np.float64)
        covariance = np.diag(np.asarray(data["sd"], np.float64) ** 2)
    if lab.shape != (3,) or covariance.shape != (3, 3) or np.linalg.eigvalsh(covariance)[0] <= 0:
        raise ValueError("a colour profile is not a distribution in CIELAB")
    surface = {str(name): (float(mean), float(sd)) for name, (mean, sd) in data["surface"].items()}
    if any(sd <= 0 or not math.isfinite(mean) for mean, sd in surface.values()):
        raise ValueError("a surface profile is not a distribution")
    return Profile(lab, covariance, surface)
