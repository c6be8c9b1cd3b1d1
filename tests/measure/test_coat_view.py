"""The coat net sees the nose in the middle, corrected by the light, whatever the photo's edge."""

from dataclasses import replace

import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.light.light import MID_GREY, Light
from tipvision.measure.coat_view import (
    BRIGHTEST,
    COAT_PX,
    PARTS,
    ROUND,
    coat_view,
    cut_round,
    doubt_of,
)
from tipvision.tip.tip import Part

PLAIN = Correction(RGB_TO_XYZ)


def scene(size: int = 200, middle: tuple[int, int] = (100, 100), radius: int = 30):
    """A window of mid tones with a round pale nose: linear (h, w, 3), labels (h, w)."""
    y, x = np.mgrid[:size, :size]
    nose = np.hypot(x - middle[0], y - middle[1]) <= radius
    linear = np.full((size, size, 3), 0.1, np.float32)
    linear[nose] = (0.5, 0.45, 0.4)
    return linear, np.where(nose, Part.NOSE, Part.NOTHING).astype(np.uint8)


def test_the_nose_fills_the_same_share_at_every_size() -> None:
    shares = []
    for radius in (10, 30, 80):
        linear, labels = scene(400, (200, 200), radius)
        view = coat_view(cut_round(linear, labels), PLAIN)
        assert view.shape == (3 + len(PARTS), COAT_PX, COAT_PX)
        assert 0 <= view.min() <= view.max() <= 1
        shares.append(view[3].mean())
        y, x = np.nonzero(view[3] > 0.5)
        assert (x.mean(), y.mean()) == pytest.approx((COAT_PX / 2 - 0.5,) * 2, abs=1.5)
    assert shares == pytest.approx([np.pi / 4 / ROUND**2] * 3, rel=0.08)


def test_colours_are_cube_roots_of_the_corrected_light() -> None:
    linear, labels = scene()
    twice = PLAIN.scaled(2.0)
    view = coat_view(cut_round(linear, labels), twice)
    wanted = np.cbrt(2 * np.array([0.5, 0.45, 0.4]) / BRIGHTEST)
    assert view[:3, 64, 64] == pytest.approx(wanted, abs=1e-4)


def test_what_lies_outside_the_photo_is_grey_and_no_part() -> None:
    linear, labels = scene(200, (0, 100))
    view = coat_view(cut_round(linear, labels), PLAIN)
    grey = np.cbrt(MID_GREY / BRIGHTEST)
    assert view[:3, 64, 2] == pytest.approx(np.full(3, grey), abs=1e-5)
    assert view[3:, 64, 2] == pytest.approx(np.zeros(len(PARTS)))


def test_labels_of_another_size_are_stretched_over_the_window() -> None:
    linear, labels = scene()
    small = np.ascontiguousarray(labels[::2, ::2])
    one, other = (coat_view(cut_round(linear, found), PLAIN) for found in (labels, small))
    assert np.abs(one - other).mean() < 0.01


def test_without_a_nose_there_is_nothing_to_cut() -> None:
    linear, labels = scene()
    assert cut_round(linear, np.zeros_like(labels)) is None


def test_the_doubt_tells_level_and_cast_apart() -> None:
    ln = np.random.default_rng(1).normal(size=(64, 3))
    gains = {"level": np.exp(0.3 * ln[:, :1] * np.ones(3)), "cast": np.exp(0.3 * ln * (1, 0, 1))}
    told = {}
    for name, gain in gains.items():
        samples = Correction(RGB_TO_XYZ @ (gain[:, :, None] * np.eye(3)))
        told[name] = doubt_of(Light("x", PLAIN, samples))
    assert told["level"][0] == 0
    assert told["level"][1] == pytest.approx(0.3, rel=0.3)
    assert told["level"][2] == pytest.approx(0, abs=1e-6)
    assert told["cast"][2] > 0.3
    known = doubt_of(replace(Light("x", PLAIN, samples), level_known=True))
    assert known[0] == 1
