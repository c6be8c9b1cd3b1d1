"""A nose of known colour measures as that colour, whatever lies around it and on it."""

import numpy as np
import pytest
from colour import XYZ_to_Lab
from colour.models import RGB_COLOURSPACE_sRGB

from tipvision.light.at_the_nose import default_nose_light
from tipvision.light.correction import Correction
from tipvision.light.light import Light
from tipvision.measure.bands import load_bands
from tipvision.measure.measure import measure
from tipvision.photo.box import Box
from tipvision.photo.photo import Window
from tipvision.tip.tip import Part, Tip

SIDE = 200
SRGB = np.linalg.inv(RGB_COLOURSPACE_sRGB.matrix_XYZ_to_RGB)
TAN = np.array([0.42, 0.30, 0.19])  # linear sRGB


def lit(gain: float = 1.0, spread: float = 0.0, count: int = 16) -> Light:
    """A light whose draws differ in exposure alone, by `spread` (natural logarithm)."""
    from tipvision.colour.srgb import RGB_TO_XYZ

    draws = gain * np.exp(spread * np.linspace(-1.7, 1.7, count))
    return Light(
        "estimate",
        Correction(gain * RGB_TO_XYZ),
        Correction(draws[:, None, None] * RGB_TO_XYZ),
    )


def nose_of(
    colour: np.ndarray, noise: float = 0.0, seed: int = 0
) -> tuple[Window, Tip, np.ndarray]:
    """A ring-shaped nose of one colour on a saturated ground: bleeding in would show at once."""
    y, x = np.mgrid[:SIDE, :SIDE] - SIDE / 2
    radius = np.hypot(x, y)
    labels = np.zeros((SIDE, SIDE), np.uint8)
    labels[radius < 80] = Part.NOSE
    labels[radius < 25] = Part.ELECTRODE
    linear = np.empty((SIDE, SIDE, 3), np.float32)
    linear[...] = (0.0, 0.05, 0.6)
    linear[labels == Part.NOSE] = colour
    rng = np.random.default_rng(seed)
    linear *= np.exp(noise * rng.standard_normal(linear.shape)).astype(np.float32)
    tip = Tip(Box(0, 0, SIDE, SIDE), labels, (np.zeros((3, 2)),), 160.0, "end_on", 1.0)
    return Window(linear, np.zeros((SIDE, SIDE), bool)), tip, labels


def test_one_even_colour_is_measured_exactly():
    window, tip, _ = nose_of(TAN)
    found = measure(window, tip, lit(), load_bands())
    expected = XYZ_to_Lab(SRGB @ TAN)  # reference library: colour-science
    np.testing.assert_allclose(found.lab, expected, atol=0.02)
    np.testing.assert_allclose(found.samples, np.broadcast_to(found.lab, (16, 3)), atol=1e-9)
    assert found.evenness == pytest.approx(0, abs=1e-4)
    assert found.shine == pytest.approx(1, abs=1e-4)
    assert found.specks == 0


def test_glare_and_clipped_pixels_do_not_move_the_colour():
    window, tip, labels = nose_of(TAN)
    plain = measure(window, tip, lit(), load_bands())
    glare = np.zeros_like(labels, bool)
    glare[40:60, 90:115] = True
    clipped = np.zeros_like(glare)
    clipped[140:145, 90:115] = True
    labels[glare] = Part.GLARE
    window.linear[glare | clipped] = 1.0
    window.clipped[clipped] = True
    found = measure(window, tip, lit(), load_bands())
    np.testing.assert_allclose(found.lab, plain.lab, atol=1e-4)
    nose = (labels == Part.NOSE) | (labels == Part.GLARE)
    assert found.glare == pytest.approx(glare.sum() / nose.sum(), abs=1e-6)
    assert found.clipped == pytest.approx(clipped.sum() / nose.sum(), abs=1e-6)
    assert found.shine > 2 * plain.shine


def test_doubt_in_the_light_becomes_doubt_in_the_colour():
    window, tip, _ = nose_of(TAN)
    narrow = measure(window, tip, lit(spread=0.05), load_bands())
    wide = measure(window, tip, lit(spread=0.5), load_bands())
    assert wide.sd[0] > 5 * narrow.sd[0] > 0
    assert np.ptp(wide.samples[:, 0]) > 20


def test_noise_hardly_moves_colour_and_surface():
    quiet, tip, _ = nose_of(TAN)
    noisy, _, _ = nose_of(TAN, noise=0.08)
    found, plain = (measure(w, tip, lit(), load_bands()) for w in (noisy, quiet))
    assert np.abs(found.lab - plain.lab).max() < 0.5
    assert found.texture > plain.texture


@pytest.mark.parametrize("noise", [0.08, 0.2, 0.4])
def test_grain_does_not_pass_for_specks(noise):
    window, tip, _ = nose_of(TAN, noise=noise)
    assert measure(window, tip, lit(), load_bands()).specks < 0.02


def test_specks_are_counted_by_their_share():
    window, tip, labels = nose_of(np.array([0.8, 0.8, 0.78]))
    rng = np.random.default_rng(3)
    dots = np.zeros((SIDE, SIDE), bool)
    for angle, radius in zip(rng.uniform(0, 6.28, 40), rng.uniform(35, 70, 40), strict=True):
        y, x = (int(SIDE / 2 + radius * f(angle)) for f in (np.sin, np.cos))
        dots[y - 3 : y + 4, x - 3 : x + 4] = True
    window.linear[dots] = 0.1
    found = measure(window, tip, lit(), load_bands())
    share = (dots & (labels == Part.NOSE)).sum() / (labels == Part.NOSE).sum()
    assert found.specks == pytest.approx(share, rel=0.25)


def test_half_soot_half_tan_is_told_as_shares():
    window, tip, labels = nose_of(TAN)
    left = labels == Part.NOSE
    left[:, SIDE // 2 :] = False
    window.linear[left] = 0.03
    found = measure(window, tip, lit(), load_bands())
    blacks = found.shares["dry_black"] + found.shares["wet_black"]
    assert blacks == pytest.approx(0.5, abs=0.08)
    assert found.shares["normal"] == pytest.approx(0.5, abs=0.08)
    assert found.evenness > 15


def test_a_nose_without_a_clean_pixel_is_not_measured():
    window, tip, labels = nose_of(TAN)
    labels[labels == Part.NOSE] = Part.GLARE
    assert measure(window, tip, lit(), load_bands()) is None


def test_the_window_is_left_as_it_was():
    window, tip, labels = nose_of(TAN, noise=0.05)
    before = window.linear.copy(), labels.copy()
    measure(window, tip, lit(), load_bands())
    np.testing.assert_array_equal(window.linear, before[0])
    np.testing.assert_array_equal(labels, before[1])


def test_a_nose_burnt_out_in_large_part_is_not_made_darker_by_what_is_left():
    white = np.array([0.9, 0.88, 0.85])
    window, tip, labels = nose_of(white)
    left = labels == Part.NOSE
    left[:, SIDE // 2 :] = False
    window.linear[left], window.clipped[left] = 1.0, True
    found = measure(window, tip, lit(), load_bands())
    assert found.lab[0] > XYZ_to_Lab(SRGB @ white)[0]
    assert found.clipped == pytest.approx(0.5, abs=0.05)


def test_the_light_at_the_nose_makes_it_lighter_and_less_sure():
    window, tip, _ = nose_of(TAN / 3)
    light = lit(count=64)
    plain = measure(window, tip, light, load_bands())
    deep = measure(window, tip, light, load_bands(), default_nose_light())
    assert deep.lab[0] > plain.lab[0]
    assert deep.sd[0] > plain.sd[0] + 3
    assert deep.shine == pytest.approx(plain.shine, rel=0.05)


def test_a_correction_with_a_tone_curve_acts_on_zones_and_pixels_alike():
    window, tip, _ = nose_of(TAN)
    curve = Correction(SRGB, tone=np.array([1.2, 0.05]))
    stack = Correction(np.repeat(SRGB[None], 8, axis=0), tone=curve.tone)
    found = measure(window, tip, Light("chart", curve, stack), load_bands())
    np.testing.assert_allclose(found.lab, XYZ_to_Lab(curve.xyz(TAN)), atol=0.02)
    np.testing.assert_allclose(found.samples, np.broadcast_to(found.lab, (8, 3)), atol=1e-9)
