"""The fit finds the factor that was put in, and its region covers as it says."""

import json
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import chi2

from pipelines.light.fit import (
    CHI_SQUARED_95,
    fit_all,
    fit_view,
    half_width,
    left_over,
    parameters_of,
    within_region,
)
from pipelines.light.rows import Row
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.at_the_nose import VIEWS

OWN_SD, OWN_CAST = 0.1, 0.04


def rows(count: int, sd: float = 0.5, slope: float = 0.0, seed: int = 0, measured: bool = True):
    """Dark noses whose light is off by a known law: 0.4, `slope` a unit of shell, and noise."""
    rng = np.random.default_rng(seed)
    made = []
    for n in range(count):
        shell = rng.normal(0.5, 1.0)
        level, cast = np.hypot(sd, OWN_SD) * rng.normal(), 0.08 * rng.normal(size=2)
        off = 0.4 + slope * (shell - 0.5) + level + np.array([cast[0], 0.0, cast[1]])
        seen = np.log([0.02, 0.018, 0.016])
        own = OWN_SD * rng.normal(size=(64, 1)) + OWN_CAST * rng.normal(size=(64, 3)) * (1, 0, 1)
        miss = np.log((np.exp(seen + off) @ RGB_TO_XYZ[1]) / (np.exp(seen) @ RGB_TO_XYZ[1]))
        made.append(
            Row(
                file=f"{n}.jpg",
                source="chart",
                measured=measured,
                miss=float(miss),
                cast_miss=cast,
                own_sd=OWN_SD,
                own_cast_sd=OWN_CAST,
                view=VIEWS[n % 3],
                features={} if n % 10 == 0 else {"shell": shell},
                ln_true=seen + off,
                ln_samples=seen + own,
            )
        )
    return made


def test_a_constant_law_is_found_without_slopes() -> None:
    fit = fit_view(rows(400))
    assert fit.terms == {}
    assert fit.intercept == pytest.approx(0.4, abs=0.06)
    assert fit.sd == pytest.approx(0.5, rel=0.1)
    assert fit.cast_sd == pytest.approx(np.sqrt(0.08**2 - OWN_CAST**2), rel=0.2)


def test_a_slope_is_found_and_narrows_the_spread() -> None:
    made = rows(400, slope=0.5)
    fit = fit_view(made)
    assert fit.terms["shell"][1] == pytest.approx(0.5, abs=0.08)
    before = np.std([row.miss for row in made])
    assert fit.sd < 0.9 * before
    assert np.std([left_over(row, fit) for row in made]) < 0.9 * before


def test_few_rows_carry_no_slope() -> None:
    assert fit_view(rows(30, slope=0.5)).terms == {}


def test_too_few_rows_are_told() -> None:
    with pytest.raises(ValueError, match="2 noses are too few"):
        fit_view(rows(2))


def test_the_region_covers_new_photos_as_it_says() -> None:
    fit = fit_view(rows(300, seed=1))
    fresh = rows(600, seed=2)
    share = np.mean([within_region(row, fit) for row in fresh])
    assert 0.91 <= share <= 0.985
    narrow = replace(fit, sd=fit.sd / 3)
    assert np.mean([within_region(row, narrow) for row in fresh]) < 0.8
    assert half_width(fresh[0], narrow) < half_width(fresh[0], fit)


def test_the_limit_of_the_region_is_the_one_of_a_reference_library() -> None:
    assert pytest.approx(chi2.ppf(0.95, 3), abs=1e-4) == CHI_SQUARED_95


def test_the_parameters_are_those_that_the_tool_loads() -> None:
    both = rows(60) + rows(60, measured=False)
    plain = json.loads(json.dumps(parameters_of(fit_all(both))))
    assert set(plain) == {"format", "measured", "metered"}
    assert all(set(plain[kind]) == set(VIEWS) for kind in ("measured", "metered"))
