"""The meter looks beside the plug, and holds the exposure where a white nose would burn."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.camera import CameraSettings, Crop, metered, mixed
from pipelines.studio.metering import WHITE_NOSE, metered_beside
from pipelines.studio.store import Linear, packed
from tests.pipelines.studio.test_truth import GOOD, PLUG

SETTINGS = CameraSettings("A", falloff=0.0)


def _linear(nose: float, lightness: float, ground: float = 0.2, lamp: float = 1.0) -> Linear:
    """A plug of one nose in the middle: its radiance under `lamp`, and its L* as the truth has."""
    bands = np.full((60, 80, 16), ground, np.float32)
    mask = np.zeros((60, 80), np.uint8)
    mask[22:38, 30:50] = 6
    mask[26:34, 36:44] = 1
    bands[mask == 6], bands[mask == 1] = 0.3, nose * lamp
    known = replace(GOOD, plugs=(replace(PLUG, nose_lab=(lightness, 0.0, 0.0)),), references=())
    return Linear(packed([bands]), mask, ("D65",), 0.0, 0.0, ("A",), known)


def _gain(linear: Linear, settings: CameraSettings = SETTINGS) -> float:
    bands = [b.astype(np.float32) for b in linear.bands]
    return metered_beside(linear, mixed(bands, linear.lights, 0.0), settings).gain


def test_the_condition_of_the_plug_does_not_change_the_exposure() -> None:
    soot, chalk = _linear(0.04, 20.0, ground=0.5), _linear(0.8, 91.0, ground=0.5)
    assert _gain(soot) == pytest.approx(_gain(chalk))


def test_a_brighter_light_on_the_plug_is_held_and_alike_for_black_and_white() -> None:
    plain, lit = _linear(0.8, 91.0), _linear(0.8, 91.0, lamp=6.0)
    assert _gain(lit) < 0.6 * _gain(plain)
    assert _gain(lit) * 0.8 * 6.0 < WHITE_NOSE
    soot = _linear(0.07, 20.0, lamp=6.0)
    assert _gain(soot) == pytest.approx(_gain(lit), rel=0.15)


def test_a_nose_out_of_the_window_or_without_a_colour_is_not_minded() -> None:
    lit = _linear(0.8, 91.0, lamp=6.0)
    hidden = replace(lit.truth.plugs[0], nose_lab=None, shine=None)
    free = _gain(replace(lit, truth=replace(lit.truth, plugs=(hidden,))))
    assert free > 2 * _gain(lit)
    aside = replace(SETTINGS, crop=Crop(0, 0, 28, 20, 56, 40))
    assert _gain(lit, aside) == pytest.approx(free)


def test_without_a_plug_it_is_the_cameras_own_meter_and_ev_adds_to_it() -> None:
    linear = _linear(0.8, 91.0)
    empty = replace(linear, mask=np.zeros_like(linear.mask), truth=replace(linear.truth, plugs=()))
    bands = [b.astype(np.float32) for b in empty.bands]
    groups = mixed(bands, empty.lights, 0.0)
    assert _gain(empty) == pytest.approx(metered(groups, SETTINGS).gain)
    assert _gain(empty, replace(SETTINGS, ev=1.0)) == pytest.approx(2 * _gain(empty))
