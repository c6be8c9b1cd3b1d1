"""Every feature has a name, a wording and a value, and says where a part does not show."""

from dataclasses import replace

import numpy as np
import pytest

from tests.condition.examples import measured
from tipvision.colour.lab import xyz_to_lab
from tipvision.condition.features import NAMES, ONCE, SEEN, UNDER_LIGHT, features_of, wordings
from tipvision.measure.bands import distances, load_bands
from tipvision.measure.coat import COAT_SIGNS


def test_each_has_one_name_and_a_wording():
    assert len(set(NAMES)) == len(NAMES)
    assert set(wordings()) == set(NAMES) - set(SEEN) - set(COAT_SIGNS)
    assert all("{}" in wording.text for wording in wordings().values())


def test_the_colour_is_there_once_for_each_draw_of_the_light():
    measurement = measured(60, doubt=5)
    features = features_of(measurement, load_bands())
    assert features.under_light.shape == (64, len(UNDER_LIGHT))
    np.testing.assert_array_equal(features.under_light[:, :3], measurement.samples)
    k = UNDER_LIGHT.index("to_dry_black")
    apart = distances(measurement.samples[7], load_bands())["dry_black"]
    assert features.under_light[7, k] == pytest.approx(apart)


def test_no_exposure_moves_a_tint():
    xyz = np.array([0.3, 0.3, 0.2])
    lab = xyz_to_lab(xyz * np.array([[1.0], [0.5], [0.1]]))
    features = features_of(replace(measured(50), samples=lab, metal=lab), load_bands())
    tints = features.under_light[:, [UNDER_LIGHT.index(n) for n in ("red_tint", "yellow_tint")]]
    np.testing.assert_allclose(tints, np.broadcast_to(tints[0], tints.shape), rtol=1e-6)


def test_what_does_not_show_is_not_a_number_and_is_said_not_to_show():
    features = features_of(measured(50), load_bands())
    once = dict(zip(ONCE, features.once, strict=True))
    assert (once["shell_seen"], once["strap_seen"]) == (1.0, 0.0)
    assert once["nose_to_shell"] == 0.0
    assert np.isnan(once["nose_to_strap"])
    bare = features_of(replace(measured(50), metal=np.empty((0, 3))), load_bands())
    assert np.isnan(bare.under_light[:, UNDER_LIGHT.index("metal_red_tint")]).all()


def test_a_measurement_without_a_light_is_refused():
    with pytest.raises(ValueError, match="samples"):
        features_of(replace(measured(50), samples=np.empty((0, 3))), load_bands())
