"""A correction is its matrix over root-polynomial terms, alone or stacked."""

import colour
import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import PIVOT, TERMS, Correction, root_terms, tone_curve

RGB = np.random.default_rng(3).uniform(0, 1, (4, 5, 3))


def some(degree: int, *stack: int, tone: tuple[float, float] = (1.0, 0.0)) -> Correction:
    matrix = np.random.default_rng(degree).normal(size=(*stack, 3, TERMS[degree]))
    return Correction(matrix, degree, np.broadcast_to(np.array(tone), (*stack, 2)))


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_terms_are_the_published_ones(degree: int) -> None:
    expected = colour.characterisation.polynomial_expansion_Finlayson2015(RGB, degree, True)
    assert root_terms(RGB, degree) == pytest.approx(expected, abs=1e-14)


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_without_a_tone_curve_exposure_goes_through(degree: int) -> None:
    correction = some(degree)
    assert correction.xyz(2.5 * RGB) == pytest.approx(2.5 * correction.xyz(RGB), rel=1e-12)


def test_a_linear_one_is_its_matrix() -> None:
    assert Correction.linear(RGB_TO_XYZ).xyz(RGB) == pytest.approx(RGB @ RGB_TO_XYZ.T, abs=1e-15)


@pytest.mark.parametrize("degree", [1, 2, 3])
@pytest.mark.parametrize("tone", [(1.0, 0.0), (0.8, 0.05)])
def test_a_stack_is_each_of_its_draws(degree: int, tone: tuple[float, float]) -> None:
    stack = some(degree, 7, tone=tone)
    assert stack.draws == 7 and some(degree).draws == 1
    result = stack.xyz(RGB)
    assert result.shape == (7, 4, 5, 3)
    for k in range(7):
        alone = Correction(stack.matrix[k], degree, stack.tone[k])
        assert result[k] == pytest.approx(alone.xyz(RGB), rel=1e-12)
        assert stack.luminance(RGB)[k] == pytest.approx(alone.xyz(RGB)[..., 1], rel=1e-12)
    assert stack.xyz(RGB[0, 0]).shape == (7, 3)
    assert stack.luminance(RGB[0, 0]).shape == (7,)


def test_scaled_makes_a_stack_of_one() -> None:
    factors = np.array([0.5, 1.0, 2.0])
    scaled = some(2, tone=(0.9, 0.02)).scaled(factors)
    assert scaled.draws == 3
    alone = some(2, tone=(0.9, 0.02)).xyz(RGB)
    assert scaled.xyz(RGB) == pytest.approx(factors[:, None, None, None] * alone, rel=1e-12)


def test_the_tone_curve_is_an_exponent_about_its_pivot_and_rises() -> None:
    light = np.linspace(1e-4, 1, 200)[:, None].repeat(3, axis=1)
    power = tone_curve(light, np.array([0.7, 0.0]))
    assert power == pytest.approx(PIVOT * (light / PIVOT) ** 0.7, rel=1e-12)
    bent = tone_curve(light, np.array([0.8, 0.04]))
    assert (np.diff(bent, axis=0) > 0).all()
    assert tone_curve(np.full((1, 3), PIVOT), np.array([0.8, 0.04])) == pytest.approx(PIVOT)


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_dark_noise_and_nan(degree: int) -> None:
    correction = some(degree, tone=(0.8, 0.03))
    result = correction.xyz([[0.0, 0.0, 0.0], [-0.01, 0.2, 0.0], [np.nan, 0.5, 0.5]])
    assert np.isfinite(result[:2]).all()
    assert result[0] == pytest.approx(0.0)
    assert np.isnan(result[2]).all()


def test_shapes_that_do_not_agree_are_refused() -> None:
    with pytest.raises(ValueError, match="degree 1, 2 or 3"):
        Correction(np.eye(3), 4)
    with pytest.raises(ValueError, match="ends in the shape"):
        Correction(np.eye(3), 2)
    with pytest.raises(ValueError, match="tone curve"):
        Correction(np.zeros((5, 3, 3)), 1, np.zeros((4, 2)))
    with pytest.raises(ValueError, match="three numbers"):
        Correction(np.eye(3)).xyz([1.0, 2.0])


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_fast_luminance_is_luminance_to_single_precision(degree):
    rng = np.random.default_rng(degree)
    picture = rng.random((20, 30, 3), np.float32)
    picture[0, 0] = 0.0
    for tone in (np.array([1.0, 0.0]), np.array([1.2, 0.03])):
        one = Correction(rng.uniform(0.05, 0.4, (3, TERMS[degree])), degree, tone)
        found = one.fast_luminance(picture)
        assert found.dtype == np.float32
        assert found == pytest.approx(one.luminance(picture), rel=1e-5, abs=1e-7)
