"""Least squares on patches finds what made them."""

import numpy as np
import pytest

from tipvision.light.chart.editions import LATEST, NEUTRALS, edition_of
from tipvision.light.chart.regression import AWAY, fit_matrix, fit_shading, fit_tone, weights_of
from tipvision.light.correction import root_terms, tone_curve

REFERENCE = edition_of(LATEST).xyz
MIX = np.array([[0.45, 0.3, 0.15], [0.25, 0.6, 0.1], [0.05, 0.15, 0.8]])
LIGHT = REFERENCE @ np.linalg.inv(MIX).T


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_a_linear_camera_is_found_exactly(degree: int) -> None:
    light = np.maximum(LIGHT, 1e-3)
    matrix, predicted = fit_matrix(light, light @ MIX.T, degree)
    assert matrix[:, :3] == pytest.approx(MIX, abs=1e-6)
    assert matrix[:, 3:] == pytest.approx(0, abs=1e-6)
    assert predicted == pytest.approx(light @ MIX.T, abs=1e-8)


@pytest.mark.parametrize("degree", [1, 2])
def test_leaving_out_by_leverage_is_leaving_out(degree: int) -> None:
    rng = np.random.default_rng(1)
    light = np.maximum(LIGHT * np.exp(rng.normal(0, 0.05, LIGHT.shape)), 1e-3)
    _, predicted = fit_matrix(light, REFERENCE, degree)
    for k in (0, 7, 23):
        others = np.arange(24) != k
        matrix, _ = fit_matrix(light[others], REFERENCE[others], degree)
        assert predicted[k] == pytest.approx(root_terms(light[k], degree) @ matrix.T, rel=1e-8)


def test_weights_are_the_slope_of_the_cube_root() -> None:
    step = 1e-6
    white = np.array([0.9504559, 1.0, 1.0890578])  # D65, IEC 61966-2-1
    rise = np.cbrt((REFERENCE + step) / white) - np.cbrt(REFERENCE / white)
    assert weights_of(REFERENCE) == pytest.approx(3 * rise / step, rel=1e-4)


@pytest.mark.parametrize("tone", [(0.55, 0.0), (0.8, 0.0), (1.2, 0.0)])
@pytest.mark.parametrize("bends", [False, True])
def test_an_exponent_is_found_from_the_greys(tone: tuple[float, float], bends: bool) -> None:
    true = REFERENCE[NEUTRALS, 1:2] * [0.9, 0.7, 0.5]
    greys = 0.2 * (true / 0.2) ** (1 / tone[0])
    assert fit_tone(greys, REFERENCE[NEUTRALS, 1], bends) == pytest.approx(tone, abs=1e-6)


def test_a_bend_is_found_and_a_curve_that_falls_is_not() -> None:
    greys = np.geomspace(0.02, 0.9, 6)[:, None].repeat(3, axis=1)
    for bend, kept in ((0.06, True), (-0.4, False)):
        aims = tone_curve(greys, np.array([0.9, bend]))[:, 0]
        exponent, found = fit_tone(greys, aims, True)
        assert exponent > 0
        assert found == pytest.approx(bend, abs=1e-6) if kept else found == 0.0


@pytest.mark.parametrize("slope", [(0.0, 0.0), (0.06, -0.03), (-0.1, 0.1)])
def test_shading_is_told_from_the_colours(slope: tuple[float, float]) -> None:
    shaded = np.maximum(LIGHT, 1e-3) * np.exp(AWAY @ slope)[:, None]
    assert fit_shading(shaded, REFERENCE, AWAY) == pytest.approx(slope, abs=0.003)


def test_a_spot_of_shine_is_no_shading() -> None:
    light = np.maximum(LIGHT, 1e-3)
    light[[5, 11]] *= 1.8  # at the right edge
    assert np.abs(fit_shading(light, REFERENCE, AWAY)).max() < 0.02


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_a_stack_of_charts_is_fitted_as_each_alone(degree: int) -> None:
    rng = np.random.default_rng(4)
    lights = np.maximum(LIGHT, 1e-3) * np.exp(rng.normal(0, 0.05, (5, 24, 3)))
    aims, shares = (
        REFERENCE * np.exp(rng.normal(0, 0.01, (5, 24, 3))),
        rng.exponential(size=(5, 24)),
    )
    matrices, predicted = fit_matrix(lights, aims, degree, shares)
    tones = fit_tone(lights[:, NEUTRALS], aims[:, NEUTRALS, 1], True)
    for k in range(5):
        matrix, alone = fit_matrix(lights[k], aims[k], degree, shares[k])
        assert matrices[k] == pytest.approx(matrix, rel=1e-6, abs=1e-9)
        assert predicted[k] == pytest.approx(alone, rel=1e-6, abs=1e-9)
        assert tones[k] == pytest.approx(fit_tone(lights[k, NEUTRALS], aims[k, NEUTRALS, 1], True))


def test_patches_that_cannot_be_told_apart_raise_nothing() -> None:
    matrix, predicted = fit_matrix(np.full((24, 3), 0.2), REFERENCE, 2)
    assert matrix.shape == (3, 6)
    assert predicted.shape == (24, 3)
