"""What stands beside the nose, as ratios that neither exposure nor the lamp's level moves."""

import numpy as np
import pytest

from tipvision.measure.beside import LEAST_PIXELS, MOST_PIXELS, beside_signs, some_of
from tipvision.measure.surface import SHINE_FLOOR
from tipvision.tip.tip import Part

SIDE = 80
LIGHT = {Part.NOSE: 0.4, Part.SHELL: 0.2, Part.STRAP: 0.1, Part.ELECTRODE: 0.8, Part.NOTHING: 0.05}


def scene() -> tuple[np.ndarray, np.ndarray]:
    """A square nose with a square electrode in it, a shell above and a long strap below."""
    labels = np.zeros((SIDE, SIDE), np.uint8)
    labels[20:60, 20:60] = Part.NOSE
    labels[30:50, 30:50] = Part.ELECTRODE
    labels[:15], labels[65:75, 10:70] = Part.SHELL, Part.STRAP
    linear = np.zeros((SIDE, SIDE, 3), np.float32)
    for part, light in LIGHT.items():
        linear[labels == part] = light
    return linear, labels


def signs(linear: np.ndarray, labels: np.ndarray) -> dict[str, float]:
    luminance = linear.mean(axis=2)
    return dict(beside_signs(linear, luminance, labels, labels == Part.NOSE, 40.0))


def ratio(one: float, other: float) -> float:
    return float(np.log((one + SHINE_FLOOR) / (other + SHINE_FLOOR)))


def test_they_are_the_ratios_of_the_scene():
    found = signs(*scene())
    parts = {"shell": Part.SHELL, "strap": Part.STRAP, "electrode": Part.ELECTRODE}
    for name, part in {**parts, "ground": Part.NOTHING}.items():
        assert found[f"nose_to_{name}"] == pytest.approx(ratio(0.4, LIGHT[part]), abs=1e-4)
    assert found["shell_to_ground"] == pytest.approx(ratio(0.2, 0.05), abs=1e-4)
    assert found["nose_to_brightest"] == pytest.approx(ratio(0.4, 0.8), abs=1e-4)
    assert found["electrode_size"] == pytest.approx(np.log(19 * 19 / 40**2), abs=1e-6)


def test_a_lamp_twice_as_bright_moves_none_by_much():
    linear, labels = scene()
    dim, bright = signs(linear, labels), signs(2 * linear, labels)
    assert bright == pytest.approx(dim, abs=0.05)


def test_a_redder_lamp_does_not_make_the_nose_redder_than_the_metal():
    linear, labels = scene()
    warm = signs(linear * np.float32([1.5, 1.0, 0.6]), labels)
    assert warm["redder_shell"] == pytest.approx(0.0, abs=0.02)
    linear[labels == Part.NOSE] *= np.float32([1.2, 1.0, 0.8])
    tan = signs(linear, labels)
    assert tan["redder_shell"] == pytest.approx(np.log(1.2), abs=0.01)
    assert tan["bluer_shell"] == pytest.approx(np.log(0.8), abs=0.01)


def test_a_glint_and_a_rounded_end_are_told():
    linear, labels = scene()
    plain = signs(linear, labels)
    linear[:4, :10] = 0.9
    y, x = np.mgrid[:SIDE, :SIDE]
    labels[(labels == Part.ELECTRODE) & (np.hypot(y - 39.5, x - 39.5) > 10)] = Part.NOSE
    linear[labels == Part.NOSE] = 0.4
    found = signs(linear, labels)
    assert found["shell_glint"] == pytest.approx(ratio(0.9, 0.2), abs=0.01)
    assert plain["shell_glint"] == pytest.approx(0.0, abs=1e-4)
    assert found["electrode_fill"] < 0.9 < plain["electrode_fill"]


def test_what_does_not_show_is_absent():
    linear, labels = scene()
    labels[labels == Part.STRAP] = Part.NOTHING
    labels[labels == Part.SHELL] = Part.NOTHING
    labels[0, : LEAST_PIXELS - 1] = Part.SHELL
    found = signs(linear, labels)
    assert not any("strap" in name or "shell" in name for name in found)
    assert "nose_to_electrode" in found


def test_a_large_part_is_thinned_out_and_a_small_one_is_not():
    whole = np.ones((200, 200), bool)
    assert MOST_PIXELS <= some_of(whole)[0].size < 2 * MOST_PIXELS
    few = np.zeros_like(whole)
    few[3, 4:9] = True
    np.testing.assert_array_equal(some_of(few), ([3] * 5, range(4, 9)))
