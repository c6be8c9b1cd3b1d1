"""The second stage: neutral stays neutral, exposure and seed do what they say."""

import numpy as np
import pytest

from pipelines.studio.camera import CameraSettings, colour_matrix, develop, meter, tone
from pipelines.studio.materials.spectra import WAVELENGTHS, matter

LIGHTS = ("A", "D65", "FL11", "LED-B3")


def _steps(light_levels: list[float]) -> np.ndarray:
    """Grey steps side by side, radiance (40, 40·n, 16)."""
    row = np.repeat(np.array(light_levels), 40)
    flat = np.broadcast_to(row[None, :, None], (40, len(row), len(WAVELENGTHS)))
    return np.ascontiguousarray(flat, dtype=np.float32)


@pytest.mark.parametrize("camera", ["A", "B"])
@pytest.mark.parametrize("light", LIGHTS)
def test_neutral_stays_neutral_under_a_right_balance(camera: str, light: str) -> None:
    settings = CameraSettings(camera, balance=1.0, electrons=1e9, sharpen=0.0, blur=0.0)
    photo = develop(_steps([0.05, 0.18, 0.5]), light, settings, seed=1).astype(int)
    assert np.ptp(photo, axis=-1).max() <= 1


def test_a_daylight_balance_shows_tungsten_warm() -> None:
    settings = CameraSettings("A", balance=0.0, electrons=1e9)
    red, _, blue = develop(_steps([0.18]), "A", settings, seed=1).mean(axis=(0, 1))
    assert red > blue + 40


@pytest.mark.parametrize("camera", ["A", "B"])
def test_colour_matrix_keeps_white_and_shows_tan_warm(camera: str) -> None:
    assert colour_matrix(camera).sum(axis=1) == pytest.approx(1.0)
    tan = np.broadcast_to(matter("tan").reflectance, (32, 32, 16)).astype(np.float32)
    settings = CameraSettings(camera, electrons=1e9, blur=0.0, sharpen=0.0)
    red, green, blue = develop(tan, "D65", settings, seed=1).mean(axis=(0, 1))
    assert red > green > blue


def test_more_exposure_is_brighter_and_a_seed_repeats_the_noise() -> None:
    steps = _steps([0.05, 0.2, 0.4])
    dark, bright = (
        develop(steps, "D65", CameraSettings(ev=ev), seed=3).mean() for ev in (-1.0, 0.5)
    )
    assert bright > dark + 20
    again = develop(steps, "D65", CameraSettings(), seed=3)
    assert np.array_equal(again, develop(steps, "D65", CameraSettings(), seed=3))
    assert not np.array_equal(again, develop(steps, "D65", CameraSettings(), seed=4))


def test_meter_does_not_burn_out_a_white_background() -> None:
    picture = np.full((200, 200), 0.9)
    picture[80:120, 80:120] = 0.03
    assert meter(picture) * 0.9 <= 0.951


def test_tone_curve_rises_and_keeps_its_ends() -> None:
    for contrast in (0.0, 0.5, 1.0):
        curve = tone(np.linspace(0, 1, 200), contrast)
        assert np.all(np.diff(curve) > 0)
        assert curve[0] == pytest.approx(0.0) and curve[-1] == pytest.approx(1.0)
