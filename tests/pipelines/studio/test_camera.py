"""The second stage: neutral stays neutral, exposure and seed do what they say."""

import numpy as np
import pytest

from pipelines.studio.camera import (
    CURVES,
    CameraSettings,
    Crop,
    colour_matrix,
    develop,
    develop_groups,
    meter,
    mixed,
    tone,
)
from pipelines.studio.camera_colour import LUMINANCE
from pipelines.studio.camera_lens import disk, smear
from pipelines.studio.camera_tone import locally_toned
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


def test_every_curve_rises_and_an_unknown_one_is_refused() -> None:
    for curve in CURVES:
        shown = tone(np.linspace(0, 1, 200), 0.4, curve)
        assert np.all(np.diff(shown) > 0)
        assert shown.min() >= 0 and shown.max() <= 1 + 1e-12
    with pytest.raises(KeyError, match="known: s, none"):
        tone(np.zeros(3), 0.0, "velvet")


def test_blurs_keep_the_light_and_spread_it_as_far_as_asked() -> None:
    for kernel in (disk(3.0), smear(9.0, 0.0)):
        assert kernel.sum() == pytest.approx(1.0)
    y, x = np.nonzero(smear(9.0, 0.0) > 1e-6)
    assert np.ptp(x) >= 8 and np.ptp(y) <= 2
    y, x = np.nonzero(smear(9.0, 90.0) > 1e-6)
    assert np.ptp(y) >= 8 and np.ptp(x) <= 2
    assert 1 / disk(4.0).max() == pytest.approx(np.pi * 16, rel=0.1)


def test_mixed_light_brings_the_share_asked_for() -> None:
    first, second = _steps([0.2]), _steps([0.9])
    groups = mixed([first, second], ["A", "D65"], 0.25)
    parts = [g.factor * float(g.bands.mean()) for g in groups]
    assert parts[1] / sum(parts) == pytest.approx(0.25)
    with pytest.raises(ValueError, match="one or two of each"):
        mixed([first], ["A", "D65"], 0.5)


def test_mixed_light_is_neutral_in_the_mean_and_tinted_apart() -> None:
    # Tungsten from the left, daylight from the right, equal in all: the camera splits the
    # difference, so the left is warm and the right is cold.
    fall = np.linspace(0.05, 0.35, 80, dtype=np.float32)[None, :, None]
    one = np.ascontiguousarray(np.broadcast_to(fall[:, ::-1], (40, 80, 16)))
    two = np.ascontiguousarray(np.broadcast_to(fall, (40, 80, 16)))
    settings = CameraSettings("A", electrons=1e9, blur=0.0, sharpen=0.0, falloff=0.0, curve="none")
    photo = develop_groups(mixed([one, two], ["A", "D65"], 0.5), settings, 1).astype(float)
    left, right = photo[:, 5].mean(axis=0), photo[:, -6].mean(axis=0)
    assert left[0] - left[2] > 15 and right[2] - right[0] > 15
    middle = photo[:, 39:41].mean(axis=(0, 1))
    assert np.ptp(middle) < 6


def test_crops_move_truth_and_light_alike() -> None:
    bands = np.full((60, 80, 16), 0.05, np.float32)
    bands[30:34, 40:44] = 0.6
    crop = Crop(20, 15, 40, 30, 80, 60)
    settings = CameraSettings("A", electrons=1e9, blur=0.0, sharpen=0.0, crop=crop)
    photo = develop(bands, "D65", settings, 1)
    assert photo.shape == (60, 80, 3)
    x, y = crop.points(np.array([[42.0, 32.0]]))[0]
    bright = photo[..., 1] > 0.97 * photo.max()
    rows, columns = np.nonzero(bright)
    assert (columns.mean() + 0.5, rows.mean() + 0.5) == pytest.approx((x, y), abs=0.6)
    labels = np.zeros((60, 80), np.uint8)
    labels[30:34, 40:44] = 1
    assert (crop.mask(labels) == 1).sum() == 64


def test_local_toning_draws_dark_and_bright_areas_together_and_keeps_hue() -> None:
    picture = np.full((96, 96, 3), 0.04)
    picture[:, 48:] = [0.8, 0.6, 0.4]
    toned = locally_toned(picture, 1.0)
    before = picture[48, 90, 1] / picture[48, 5, 1]
    assert toned[48, 90, 1] / toned[48, 5, 1] < 0.7 * before
    assert toned[48, 90, 0] / toned[48, 90, 2] == pytest.approx(2.0)
    assert locally_toned(picture, 0.0) == pytest.approx(picture)


@pytest.mark.parametrize("camera", ["A", "B", "B4"])
def test_noise_in_colour_stays_below_that_in_lightness_whatever_the_matrix(camera: str) -> None:
    grey = np.full((160, 160, 16), 0.18, np.float32)
    settings = CameraSettings(camera, electrons=700.0, blur=0.0, sharpen=0.0, falloff=0.0)
    photo = develop(grey, "D65", settings, 2).astype(float)
    lum = photo @ LUMINANCE
    colour = (photo - lum[..., None]).std(axis=(0, 1)).max()
    # About what a phone leaves at ISO 800, in steps of 255 (our estimate).
    assert 1.0 < lum.std() < 4.0
    assert 0.05 < colour < 0.7 * lum.std()


def test_clipped_light_is_white_under_any_balance() -> None:
    settings = CameraSettings("B", balance=0.1, duv=0.02, ev=3.0, electrons=1e9)
    photo = develop(_steps([0.02, 0.9]), "LED-RGB1", settings, 1)
    assert np.all(photo[:, 60:] == 255)


def test_what_is_too_bright_keeps_its_hue() -> None:
    red = np.broadcast_to(matter("rust").reflectance, (40, 40, 16)).astype(np.float32)
    picture = np.concatenate([red, 8 * red], axis=1)
    settings = CameraSettings("B", electrons=1e9, blur=0.0, sharpen=0.0, falloff=0.0, ev=0.5)
    for side in np.split(develop(picture, "D65", settings, 1), 2, axis=1):
        r, g, b = side[10:-10, 10:-10].mean(axis=(0, 1))
        assert r > g >= b
