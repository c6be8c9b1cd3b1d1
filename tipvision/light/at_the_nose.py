"""How much of the light at the reference arrives at the nose, and how sure that is.

A chart, a card and a meter tell the light where they lie. The nose sits in its bore and turns away
from the lamp, so less arrives there, by a factor that no photo shows. A log-normal factor with the
median and spread found on rendered plugs stands for it, whichever way the light is known.
"""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipvision.light.doubt import recast
from tipvision.light.draws import DRAWS, gaussian_draws
from tipvision.light.light import Light
from tipvision.quantiles import median
from tipvision.sealed import ModelFault, sealed
from tipvision.shipped import models_folder

FORMAT = 1
ANY = "any"
VIEWS = ("end_on", "oblique", "side", ANY)
MOST_REFLECTANCE = 0.95  # no ceramic and no deposit on it reflects more; our estimate
NEVER = 8.0  # standard deviations: what is cut off beyond is too little for a float to hold
_DIMENSIONS = 13  # of the draws: no source of light uses the last three


@dataclass(frozen=True)
class NoseFit:
    """ln(true luminance / luminance by the light at the reference), as a regression.

    intercept: its value at the features' means. sd: what is left, as a standard deviation, beside
    the light's own doubt. terms: for a feature, (its mean, its coefficient).
    cast_sd: standard deviation of ln(red/green) and ln(blue/green) in linear sRGB that the bore
    and the metal round the nose add, again beside the light's own.
    """

    intercept: float
    sd: float
    cast_sd: float
    terms: Mapping[str, tuple[float, float]]

    def median(self, features: Mapping[str, float]) -> float:
        """The value for these features; one that is absent counts as its mean."""
        return self.intercept + sum(
            slope * (features[name] - mean)
            for name, (mean, slope) in self.terms.items()
            if name in features
        )


@dataclass(frozen=True)
class NoseLight:
    """name, version: as in its manifest. measured: for lights whose level was measured, by view.
    metered: for those that take the camera's exposure as it is, by view. The view `ANY` stands for
    one that is not known."""

    name: str
    version: str
    measured: Mapping[str, NoseFit]
    metered: Mapping[str, NoseFit]


def at_the_nose(
    light: Light,
    nose: NDArray[np.float64],
    view: str | None,
    features: Mapping[str, float],
    model: NoseLight,
) -> Light:
    """The light as it falls on the nose: correction and samples scaled.

    Draws under which the nose would reflect more than anything does are not possible: the factor's
    distribution ends there.

    nose:     float64 (3,), mean nominal linear sRGB of the nose.
    view:     as in `Tip`. features: what `measure.around.light_features` found.
    Raises ValueError when the light's samples are not 64.
    """
    if light.samples.draws != DRAWS:
        raise ValueError(f"the light has {light.samples.draws} draws; {DRAWS} are wanted")
    fit = (model.measured if light.level_known else model.metered)[view or ANY]
    factors = ln_factors(fit, features, light.samples.luminance(nose[None])[:, 0])
    return replace(
        light,
        correction=light.correction.scaled(math.exp(median(factors[:, 1]))),
        samples=recast(light.samples, factors),
    )


def ln_factors(
    fit: NoseFit, features: Mapping[str, float], luminance: NDArray[np.float64]
) -> NDArray[np.float64]:
    """64 draws of ln(true / measured) of red, green and blue at the nose, float64 (64, 3).

    luminance: float64 (64,), of the nose under each draw of the light at the reference.
    """
    red, blue, level = gaussian_draws(_DIMENSIONS)[:, -3:].T
    median = fit.median(features)
    most = (np.log(MOST_REFLECTANCE / np.maximum(luminance, 1e-6)) - median) / fit.sd
    cast = fit.cast_sd * np.stack([red, 0 * red, blue], axis=1)
    factors: NDArray[np.float64] = cast + (median + fit.sd * _at_most(level, most))[:, None]
    return factors


def _at_most(normal: NDArray[np.float64], most: NDArray[np.float64]) -> NDArray[np.float64]:
    """Standard normal draws (n,) as draws of the same distribution cut off above `most` (n,)."""
    if most.min() > NEVER:
        return normal
    bell = NormalDist()
    shares = [bell.cdf(z) * bell.cdf(end) for z, end in zip(normal, most, strict=True)]
    return np.array([bell.inv_cdf(max(share, 1e-15)) for share in shares])


@cache
def default_nose_light() -> NoseLight:
    """The shipped model."""
    return load_nose_light(models_folder() / "nose_light")


def load_nose_light(folder: Path) -> NoseLight:
    """The model in `folder` (`parameters.json`, `manifest.json`).

    Raises ModelFault when a file is missing, its SHA-256 differs from the manifest's, or its
    content is not a model of format `FORMAT`.
    """
    manifest, contents = sealed(folder, ("parameters.json",))
    try:
        data = json.loads(contents["parameters.json"])
        if data["format"] != FORMAT:
            raise ValueError(f"format {data['format']}")
        fits = [{v: _fit(data[key][v]) for v in VIEWS} for key in ("measured", "metered")]
        return NoseLight(str(manifest["name"]), str(manifest["version"]), *fits)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise ModelFault(
            f"The model in {folder} is not one of format {FORMAT}: {error}. Install it again."
        ) from error


def _fit(data: Mapping[str, Any]) -> NoseFit:
    terms = {
        str(name): (float(term["mean"]), float(term["slope"]))
        for name, term in data["terms"].items()
    }
    intercept, sd, cast_sd = (float(data[key]) for key in ("intercept", "sd", "cast_sd"))
    fit = NoseFit(intercept, sd, cast_sd, terms)
    numbers = [fit.intercept, fit.sd, fit.cast_sd, *(n for term in terms.values() for n in term)]
    if not all(map(math.isfinite, numbers)) or min(fit.sd, fit.cast_sd) <= 0:
        raise ValueError("a number is not finite, or a spread is not above zero")
    return fit
