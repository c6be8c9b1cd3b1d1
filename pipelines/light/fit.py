"""Fit the factor between the light at a reference and the light at the nose, and judge it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pipelines.light.rows import Row
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.at_the_nose import ANY, VIEWS, NoseFit, ln_factors
from tipvision.measure.around import FEATURES
from tipvision.teaching.intervals import Z_95

ROWS_A_TERM = 25  # a slope is fitted only where that many rows stand behind each; our estimate
LEAST_SD = 0.02  # of any spread: never quite sure; our estimate
LEAST_GAIN = 0.02  # share of the spread, left-one-out, that the slopes must take away
KINDS = ("measured", "metered")
HELD = 0.95  # share of the fitted noses that the stated region has to hold
WIDER, MOST_STEPS = 1.05, 40  # of a step of widening, and how many are tried
CHI_SQUARED_95_OF = {1: 3.8415, 2: 5.9915, 3: 7.8147}  # by degrees of freedom
CHI_SQUARED_95 = CHI_SQUARED_95_OF[3]  # (reference library: scipy, see the tests)
GREEN = np.array([[0.0], [1.0], [0.0]])
TO_GREEN = np.array([[1.0, 0.0], [-1.0, -1.0], [0.0, 1.0]])
"""Green, which stands for the level; red and blue against it, the cast. Of ln of linear sRGB."""


def fit_view(rows: Sequence[Row]) -> NoseFit:
    """Intercept, slopes and spread of `miss` over rows of one view and kind of light.

    Slopes are kept where they lower the left-one-out spread; features that are absent count as
    their mean. The spread is what the rows leave, wider by the few rows behind the intercept,
    without the light's own doubt, which its samples carry already.

    Raises ValueError for fewer than three rows.
    """
    if len(rows) < 3:
        raise ValueError(f"{len(rows)} noses are too few for a spread; three are the least")
    miss = np.array([row.miss for row in rows])
    constant = _left_one_out(np.ones((len(rows), 1)), miss)
    own = float(np.mean([row.own_sd**2 for row in rows]))
    terms: dict[str, tuple[float, float]] = {}
    intercept, left = float(miss.mean()), constant
    seen = [name for name in FEATURES if sum(name in r.features for r in rows) >= ROWS_A_TERM]
    if seen and len(rows) >= ROWS_A_TERM * (1 + len(seen)):
        means = {n: float(np.mean([r.features[n] for r in rows if n in r.features])) for n in seen}
        columns = [[r.features.get(n, means[n]) - means[n] for n in seen] for r in rows]
        design = np.column_stack([np.ones(len(rows)), np.array(columns)])
        fitted = _left_one_out(design, miss)
        if fitted.std() < (1 - LEAST_GAIN) * constant.std():
            slopes = np.linalg.lstsq(design, miss, rcond=None)[0]
            intercept, left = float(slopes[0]), fitted
            terms = {n: (means[n], float(b)) for n, b in zip(seen, slopes[1:], strict=True)}
    return NoseFit(
        intercept,
        math.sqrt(max(float((left**2).mean()) - own, LEAST_SD**2)),
        _cast_sd(rows),
        terms,
    )


def _cast_sd(rows: Sequence[Row]) -> float:
    """Spread of `cast_miss` beside the light's own, from its 95th percentile: few noses, wet or
    black, are off by much."""
    far = float(np.quantile(np.abs([row.cast_miss for row in rows]), 0.95)) / Z_95
    own = float(np.mean([row.own_cast_sd**2 for row in rows]))
    return math.sqrt(max(far**2 - own, LEAST_SD**2))


def fit_all(rows: Sequence[Row]) -> dict[str, dict[str, NoseFit]]:
    """Fits by kind of light ("measured", "metered") and view; `ANY` takes all views together."""
    return {
        kind: {
            view: _widened([r for r in of_kind(rows, kind) if view in (r.view, ANY)])
            for view in VIEWS
        }
        for kind in KINDS
    }


def _widened(rows: Sequence[Row]) -> NoseFit:
    """`fit_view` with the spreads of level and cast as much wider, each by itself and then both,
    as they need to hold `HELD` of these rows: what is left has longer tails than a normal
    distribution."""
    fit = fit_view(rows)
    for level, cast in ((WIDER, 1.0), (1.0, WIDER), (WIDER, WIDER)):
        for _ in range(MOST_STEPS):
            if np.mean([_holds(row, fit, level > 1, cast > 1) for row in rows]) >= HELD:
                break
            fit = replace(fit, sd=level * fit.sd, cast_sd=cast * fit.cast_sd)
    return fit


def _holds(row: Row, fit: NoseFit, level: bool, cast: bool) -> bool:
    """`within_region`, of the level alone, of the two ratios of the cast alone, or of both."""
    if level and cast:
        return within_region(row, fit)
    samples = _at_the_nose(row, fit)
    axes = GREEN if level else TO_GREEN
    away = (row.ln_true - samples.mean(axis=0)) @ axes
    spread = np.atleast_2d(np.cov((samples @ axes).T))
    limit = CHI_SQUARED_95_OF[len(spread)]
    return bool(away @ np.linalg.solve(spread, away) <= limit)


def of_kind(rows: Sequence[Row], kind: str) -> list[Row]:
    """The rows whose light's level was measured, or was metered by the camera."""
    return [row for row in rows if row.measured == (kind == "measured")]


def parameters_of(fits: Mapping[str, Mapping[str, NoseFit]]) -> dict[str, Any]:
    """The content of `parameters.json`."""

    def plain(fit: NoseFit) -> dict[str, Any]:
        terms = {
            name: {"mean": round(mean, 4), "slope": round(slope, 4)}
            for name, (mean, slope) in fit.terms.items()
        }
        spreads = {"sd": round(fit.sd, 4), "cast_sd": round(fit.cast_sd, 4)}
        return {"intercept": round(fit.intercept, 4), **spreads, "terms": terms}

    return {
        "format": 1,
        **{kind: {view: plain(fit) for view, fit in views.items()} for kind, views in fits.items()},
    }


def left_over(row: Row, fit: NoseFit) -> float:
    """What a fit misses of one row."""
    return row.miss - fit.median(row.features)


def within_region(row: Row, fit: NoseFit) -> bool:
    """Whether the true colour lies in the ellipsoid, in ln of linear sRGB, that holds 95 % of a
    normal distribution with the mean and covariance of the row's samples at the nose."""
    samples = _at_the_nose(row, fit)
    away = row.ln_true - samples.mean(axis=0)
    return bool(away @ np.linalg.solve(np.cov(samples.T), away) <= CHI_SQUARED_95)


def half_width(row: Row, fit: NoseFit) -> float:
    """Half the width in L* of the middle 95 % of the row's samples at the nose."""
    lightness = xyz_to_lab(np.exp(_at_the_nose(row, fit)) @ RGB_TO_XYZ.T)[:, 0]
    low, high = np.quantile(np.minimum(lightness, 100.0), (0.025, 0.975))
    return float(high - low) / 2


def _at_the_nose(row: Row, fit: NoseFit) -> NDArray[np.float64]:
    """ln of linear sRGB (64, 3) of the nose under each draw."""
    luminance = np.exp(row.ln_samples) @ RGB_TO_XYZ[1]
    return row.ln_samples + ln_factors(fit, row.features, luminance)


def _left_one_out(design: Any, aims: Any) -> Any:
    """Errors at each row of the least-squares fit to all the others."""
    hat = design @ np.linalg.pinv(design)
    return (aims - hat @ aims) / np.maximum(1 - np.diag(hat), 1e-6)
