"""The estimate pulls a cast some way to neutral, and survives photos that say nothing."""

import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ, encode
from tipvision.light.correction import Correction
from tipvision.light.doubt import EXPOSURE_SD
from tipvision.light.estimate import (
    CAST_LIMIT,
    CAST_SD,
    LEVEL_PULL,
    LIGHT_THING,
    PULL,
    cast_of,
    estimated_light,
)


def photo_of(gains: tuple[float, float, float], shape: tuple[int, int] = (300, 400)) -> np.ndarray:
    """A photo of grey things only, under a cast."""
    rng = np.random.default_rng(5)
    things = np.kron(rng.uniform(0.03, 0.6, (30, 40, 1)), np.ones((10, 10, 1)))
    light = things[: shape[0], : shape[1]] * gains
    return np.round(255 * encode(np.clip(light, 0, 1))).astype(np.uint8)


def ln_gains(correction: Correction) -> np.ndarray:
    """Of red, green and blue, green's median taken as none: the cast alone."""
    gains = np.log(correction.matrix / RGB_TO_XYZ)[..., 1, :]
    return gains - np.median(gains[..., 1])


@pytest.mark.parametrize("gains", [(1.2, 1.0, 0.7), (0.8, 1.0, 1.3), (1.1, 0.9, 1.0)])
def test_a_cast_is_pulled_some_way_to_neutral(gains: tuple[float, float, float]) -> None:
    light = estimated_light(photo_of(gains))
    found = ln_gains(light.correction)
    cast = np.log(gains) - np.log(gains[1])
    assert found == pytest.approx(-PULL * cast, abs=0.03)
    assert cast_of(photo_of(gains)) == pytest.approx(cast, abs=0.04)
    assert light.source == "estimate"
    assert light.cct_k is None


def test_a_neutral_photo_is_left_alone() -> None:
    assert np.abs(ln_gains(estimated_light(photo_of((1, 1, 1))).correction)).max() < 0.005


def test_a_photo_of_one_strong_colour_is_not_turned_grey() -> None:
    red = np.zeros((100, 100, 3), np.uint8)
    red[...] = (200, 20, 20)
    assert np.abs(ln_gains(estimated_light(red).correction)).max() <= CAST_LIMIT + 1e-12


@pytest.mark.parametrize("code", [0, 255])
@pytest.mark.parametrize("shape", [(1, 1, 3), (768, 1024, 3), (3, 1000, 3)])
def test_black_and_burnt_out_photos_keep_their_colours(code: int, shape) -> None:
    light = estimated_light(np.full(shape, code, np.uint8))
    assert ln_gains(light.correction) == pytest.approx(np.zeros(3), abs=1e-12)
    assert np.isfinite(light.samples.matrix).all()


def test_of_an_error_in_exposure_the_pull_is_put_right() -> None:
    def level(gain: float) -> float:
        correction = estimated_light(photo_of((gain, gain, gain))).correction
        return float(np.log(gain * correction.matrix[1, 1] / RGB_TO_XYZ[1, 1]))

    left = level(0.5) - level(1.0)
    assert left == pytest.approx((1 - LEVEL_PULL) * np.log(0.5), abs=0.05)


def test_the_brightest_thing_comes_out_light() -> None:
    photo = photo_of((1.0, 1.0, 1.0))
    photo[:60, :60] = round(255 * float(encode(np.array(LIGHT_THING))))
    correction = estimated_light(photo).correction
    assert correction.matrix == pytest.approx(RGB_TO_XYZ, rel=0.02)


@pytest.mark.parametrize("seed", range(5))
def test_noise_gives_finite_numbers(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shape = tuple(rng.integers(1, 300, 2))
    light = estimated_light(rng.integers(0, 256, (*shape, 3), dtype=np.uint8))
    assert np.isfinite(light.correction.matrix).all()
    assert np.isfinite(light.samples.matrix).all()


def test_burnt_out_parts_do_not_count() -> None:
    plain = photo_of((1.2, 1.0, 0.7))
    burnt = plain.copy()
    burnt[:100] = (255, 255, 180)
    found = [ln_gains(estimated_light(photo).correction) for photo in (plain, burnt)]
    assert found[0] == pytest.approx(found[1], abs=0.03)


def test_the_doubt_is_the_one_that_is_claimed() -> None:
    light = estimated_light(photo_of((1.2, 1.0, 0.7)))
    red, green, blue = np.log(light.samples.matrix / light.correction.matrix)[:, 1].T
    assert (red - green).std() == pytest.approx(CAST_SD)
    assert (blue - green).std() == pytest.approx(CAST_SD)
    assert green.std() == pytest.approx(EXPOSURE_SD)
