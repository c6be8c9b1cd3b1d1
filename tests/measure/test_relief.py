"""Highlights, grain and lumps of the nose, within itself."""

import numpy as np
import pytest

from tipvision.measure.relief import SIGNS, relief_signs, tints
from tipvision.tip.tip import Part

SIDE = 96


def signs(luminance: np.ndarray, glare: np.ndarray | None = None) -> dict[str, float]:
    y, x = np.mgrid[:SIDE, :SIDE] - SIDE / 2
    nose = np.hypot(x, y) < SIDE / 2 - 2
    labels = np.where(nose, Part.NOSE, Part.NOTHING).astype(np.uint8)
    if glare is not None:
        labels[glare] = Part.GLARE
    light = luminance.astype(np.float32)
    linear = np.repeat(light[..., None], 3, axis=2)
    return dict(relief_signs(linear, light, labels, nose, SIDE - 4.0))


def blobs(radius: float, light: float) -> np.ndarray:
    """An even nose with round blobs on it."""
    y, x = np.mgrid[:SIDE, :SIDE]
    luminance = np.full((SIDE, SIDE), 0.3)
    for cy in range(20, SIDE, 28):
        for cx in range(20, SIDE, 28):
            luminance[np.hypot(y - cy, x - cx) < radius] = light
    return luminance


def test_an_even_nose_has_none():
    found = signs(np.full((SIDE, SIDE), 0.3))
    assert set(found) == set(SIGNS)
    assert max(map(abs, found.values())) < 1e-3


def test_exposure_moves_none_by_much():
    grainy = 0.3 * np.exp(0.2 * np.random.default_rng(1).standard_normal((SIDE, SIDE)))
    assert signs(grainy) == pytest.approx(signs(2 * grainy), abs=0.03)


def test_blisters_are_lumps_and_noise_is_grain():
    lumpy = signs(blobs(5, 0.5))
    noisy = signs(0.3 * np.exp(0.2 * np.random.default_rng(1).standard_normal((SIDE, SIDE))))
    assert noisy["grain"] > 3 * lumpy["grain"]
    assert lumpy["lumps_up"] > 3 * noisy["lumps_up"]


def test_bright_and_dark_lumps_are_told_apart():
    bright, dark = signs(blobs(5, 0.6)), signs(blobs(5, 0.1))
    assert bright["lumps_up"] > bright["lumps_down"]
    assert dark["lumps_down"] > dark["lumps_up"]


def test_spots_of_glare_are_counted_and_single_pixels_are_not():
    glare = np.zeros((SIDE, SIDE), bool)
    glare[30:34, 30:34] = glare[60:63, 50:54] = glare[50, 50] = True
    assert signs(np.full((SIDE, SIDE), 0.3), glare)["glare_spots"] == 2


def test_tints_are_differences_of_colour_and_not_of_light():
    nose = np.ones((SIDE, SIDE), bool)
    light = np.linspace(0.1, 0.8, SIDE)[:, None, None] * np.ones((1, SIDE, 3))
    assert tints(light.astype(np.float32), nose, 90.0) < 0.02
    blued = light.copy()
    blued[:, : SIDE // 2, 2] *= 1.5
    assert tints(blued.astype(np.float32), nose, 90.0) > 0.15
