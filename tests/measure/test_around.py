"""Highlights and metal round the nose, as ratios that exposure does not move."""

import numpy as np
import pytest

from tipvision.measure.around import FEATURES, light_features
from tipvision.tip.tip import Part


def scene(nose=0.2, shell=0.4, strap=0.1) -> tuple[np.ndarray, np.ndarray]:
    labels = np.zeros((60, 60), np.uint8)
    labels[20:40, 20:40], labels[:10], labels[50:, :20] = Part.NOSE, Part.SHELL, Part.STRAP
    luminance = np.full(labels.shape, 0.05)
    for part, value in ((Part.NOSE, nose), (Part.SHELL, shell), (Part.STRAP, strap)):
        luminance[labels == part] = value
    return luminance, labels


def test_the_ratios_are_those_of_the_scene() -> None:
    luminance, labels = scene()
    luminance[20:24, 20:40] = 0.4  # a fifth of the nose is lit twice as well
    found = light_features(luminance, labels, 0.8)
    assert set(found) == set(FEATURES)
    assert found["level"] == pytest.approx(np.log(0.2), abs=0.02)
    assert found["best_lit"] == pytest.approx(np.log(2), abs=0.01)
    assert found["shell"] == pytest.approx(np.log(2), abs=0.01)
    assert found["strap"] == pytest.approx(np.log(0.5), abs=0.02)
    assert found["hidden"] == pytest.approx(0.2)


def test_exposure_moves_the_level_alone() -> None:
    luminance, labels = scene()
    bright, dim = (dict(light_features(k * luminance, labels, 1.0)) for k in (1.0, 0.5))
    assert dim.pop("level") == pytest.approx(bright.pop("level") - np.log(2), abs=0.02)
    assert dim == pytest.approx(bright, abs=0.02)


def test_what_does_not_show_is_absent() -> None:
    luminance, labels = scene()
    labels[labels == Part.STRAP] = Part.NOTHING
    assert set(light_features(luminance, labels, 1.0)) == {"level", "best_lit", "hidden", "shell"}
    assert light_features(luminance, np.zeros_like(labels), 1.0) == {}
