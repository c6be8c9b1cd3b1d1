from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.report import samples, sets
from tipvision.colour.lab import lab_to_xyz, xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.comparison.doubt import FLOOR, Colour, colours_of, contrast, logarithms
from tipvision.light.correction import Correction
from tipvision.light.doubt import doubtful
from tipvision.light.light import Light
from tipvision.record.reading import Reading

LIGHT = Light("estimate", Correction(RGB_TO_XYZ), doubtful(RGB_TO_XYZ, 0.1, 0.4))
PAIR = np.array([1.0, -1.0])


def reading(lightness: float, photo: str = "set.jpg", view: str = "end_on") -> Reading:
    """A nose whose every doubt comes from the light."""
    lab = np.array([lightness, 2.0, 8.0])
    rgb = np.linalg.solve(RGB_TO_XYZ, lab_to_xyz(lab))
    under = xyz_to_lab(LIGHT.samples.xyz(rgb))
    measured = replace(
        samples.measurement((lightness, 2.0, 8.0)), samples=under, sd=under.std(axis=0)
    )
    tip = replace(samples.READ.tips[0], view=view)
    return replace(samples.READ, photo=photo, light=LIGHT, measurement=measured, tips=(tip,))


def pair_sd(one: Reading, other: Reading) -> float:
    """Standard deviation of the difference in ln Y."""
    colours = [c for c in colours_of([one, other]) if c is not None]
    return float(np.sqrt(contrast(colours, PAIR)[1][0, 0]))


@given(st.floats(5.0, 99.0), st.floats(-10.0, 10.0), st.floats(-5.0, 25.0), st.floats(0.3, 3.0))
def test_a_factor_of_light_is_the_same_step_for_every_colour(
    lightness: float, a: float, b: float, factor: float
) -> None:
    lab = np.array([lightness, a, b])
    brighter = xyz_to_lab(factor * lab_to_xyz(lab))
    step = logarithms(brighter) - logarithms(lab)
    assume(np.linalg.solve(RGB_TO_XYZ, lab_to_xyz(lab)).min() > FLOOR / min(factor, 1.0))
    np.testing.assert_allclose(step, [np.log(factor), 0.0, 0.0], atol=1e-9)


def test_one_light_is_in_each_colour_and_not_in_their_difference() -> None:
    together = pair_sd(reading(50.0), reading(60.0))
    apart = pair_sd(reading(50.0, "a.jpg"), reading(60.0, "b.jpg"))
    assert apart == pytest.approx(np.sqrt(2) * 0.4, rel=0.15)  # of ln(exposure), in each
    assert together < 0.45 * apart  # the ordinary spread is left


def test_what_the_bore_adds_is_shared_in_part_where_plugs_are_seen_alike() -> None:
    steps = np.exp(0.8 * np.random.default_rng(1).standard_normal(64))[:, None]
    bored = [
        replace(one, measurement=replace(one.measurement, samples=xyz_to_lab(steps * under)))
        for one in (reading(50.0), reading(51.0))
        if one.measurement is not None
        for under in [lab_to_xyz(one.measurement.samples)]
    ]
    slanted = replace(bored[1], tips=(replace(bored[1].tips[0], view="side"),))
    assert pair_sd(*bored) < 0.8 * pair_sd(bored[0], slanted)


def test_a_stored_light_is_common_to_photos() -> None:
    stored = replace(LIGHT, source="stored:bench")
    one, other = (replace(reading(50.0, photo), light=stored) for photo in ("a.jpg", "b.jpg"))
    assert pair_sd(one, other) < 0.7 * pair_sd(reading(50.0, "a.jpg"), reading(50.0, "b.jpg"))


def test_a_reading_without_a_colour_has_no_doubt_to_share() -> None:
    assert colours_of([samples.UNREADABLE, sets.plug(50.0)])[0] is None


def test_the_covariance_is_that_of_simulated_differences() -> None:
    random = np.random.default_rng(5)
    shared = [s * random.standard_normal((64, 3)) for s in (3.0, 4.0, 5.0)]
    own = [np.diag([s, 1.0, 2.0]) for s in (4.0, 9.0, 1.0)]
    colours = [Colour(np.zeros(3), key, s, o) for key, s, o in zip("aab", shared, own, strict=True)]
    weights = np.array([1.0, -0.5, -0.5])
    _, covariance = contrast(colours, weights)
    rows = {"a": random.integers(64, size=40_000), "b": random.integers(64, size=40_000)}
    drawn = sum(
        w * (c.shared[rows[c.key]] + random.multivariate_normal(np.zeros(3), c.own, 40_000))
        for w, c in zip(weights, colours, strict=True)
    )
    wanted = np.cov(np.asarray(drawn).T) + np.outer(drawn.mean(axis=0), drawn.mean(axis=0))
    np.testing.assert_allclose(covariance, wanted, atol=0.03 * np.trace(wanted))
