"""What arrives at the nose: the factor that is stated, and never an impossible reflectance."""

import json
import shutil
from dataclasses import replace

import numpy as np
import pytest

from pipelines.seal import seal
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.at_the_nose import (
    MOST_REFLECTANCE,
    VIEWS,
    NoseFit,
    NoseLight,
    at_the_nose,
    default_nose_light,
    load_nose_light,
)
from tipvision.light.correction import Correction
from tipvision.light.light import Light
from tipvision.sealed import ModelFault
from tipvision.shipped import models_folder

SOOT = np.array([0.011, 0.01, 0.009])
FIT = NoseFit(0.5, 0.6, 0.05, {"shell": (0.2, 0.4)})
MODEL = NoseLight("x", "1", dict.fromkeys(VIEWS, FIT), dict.fromkeys(VIEWS, replace(FIT, sd=0.9)))
LIGHT = Light(
    "chart",
    Correction(RGB_TO_XYZ),
    Correction(np.repeat(RGB_TO_XYZ[None], 64, axis=0)),
    level_known=True,
)


def ln_rgb(light: Light, nose=SOOT) -> np.ndarray:
    """ln(at the nose / at the reference) of red, green and blue, (64, 3)."""
    return np.log(np.linalg.solve(RGB_TO_XYZ, light.samples.xyz(nose).T).T / nose)


def test_median_and_spread_are_those_of_the_fit() -> None:
    light = at_the_nose(LIGHT, SOOT, "end_on", {}, MODEL)
    factors = ln_rgb(light)
    assert np.median(factors[:, 1]) == pytest.approx(0.5, abs=0.03)
    assert factors[:, 1].std() == pytest.approx(0.6, rel=0.02)
    for channel in (0, 2):
        assert (factors[:, channel] - factors[:, 1]).std() == pytest.approx(0.05, rel=0.02)
    gain = light.correction.matrix / LIGHT.correction.matrix
    assert gain == pytest.approx(np.full((3, 3), gain[0, 0]))
    assert np.log(gain[0, 0]) == pytest.approx(0.5, abs=0.03)


def test_a_metered_light_uses_its_own_fit() -> None:
    light = at_the_nose(replace(LIGHT, level_known=False), SOOT, None, {}, MODEL)
    assert ln_rgb(light)[:, 1].std() == pytest.approx(0.9, rel=0.03)


def test_a_feature_moves_the_median_and_an_absent_one_does_not() -> None:
    plain, moved = (
        np.median(ln_rgb(at_the_nose(LIGHT, SOOT, "side", features, MODEL))[:, 1])
        for features in ({"hidden": 0.3}, {"shell": 1.2})
    )
    assert moved - plain == pytest.approx(0.4 * (1.2 - 0.2), abs=1e-6)


@pytest.mark.parametrize("nose", [0.3, 0.6, 0.9, 0.95, 2.0])
def test_no_draw_reflects_more_than_anything_does(nose: float) -> None:
    model = replace(MODEL, measured=dict.fromkeys(VIEWS, replace(FIT, cast_sd=1e-9)))
    rgb = np.full(3, nose)
    light = at_the_nose(LIGHT, rgb, "end_on", {}, model)
    luminance = light.samples.luminance(rgb[None])
    assert luminance.max() <= MOST_REFLECTANCE * 1.0001
    assert luminance.std() > 0
    assert light.correction.luminance(rgb[None])[0] <= MOST_REFLECTANCE


def test_the_draws_are_independent_of_the_lights_own() -> None:
    from tipvision.light.one_grey import samples_of

    own = replace(LIGHT, samples=samples_of(np.zeros(3), np.full(3, 0.02), 0.1))
    before = np.log(own.samples.luminance(SOOT[None])[:, 0])
    after = np.log(at_the_nose(own, SOOT, "end_on", {}, MODEL).samples.luminance(SOOT[None])[:, 0])
    assert np.corrcoef(before, after - before)[0, 1] == pytest.approx(0.0, abs=0.02)


def test_a_light_of_few_draws_is_a_mistake() -> None:
    few = replace(LIGHT, samples=Correction(LIGHT.samples.matrix[:8]))
    with pytest.raises(ValueError, match="8 draws"):
        at_the_nose(few, SOOT, None, {}, MODEL)


def test_the_shipped_model_takes_light_away_in_every_view() -> None:
    """The nose sits in its bore: a true nose is lighter than the card's light makes it."""
    model = default_nose_light()
    assert all(fit.intercept > 0 and fit.sd > 0.1 for fit in model.measured.values())
    assert set(model.measured) == set(model.metered) == set(VIEWS)


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(models_folder() / "nose_light", tmp_path / "model")


@pytest.mark.parametrize("name", ["manifest.json", "parameters.json"])
def test_a_missing_file_is_refused(folder, name) -> None:
    (folder / name).unlink()
    with pytest.raises(ModelFault, match="incomplete"):
        load_nose_light(folder)


def test_a_changed_file_is_refused(folder) -> None:
    path = folder / "parameters.json"
    path.write_bytes(path.read_bytes().replace(b"0.", b"1.", 1))
    with pytest.raises(ModelFault, match="changed"):
        load_nose_light(folder)


@pytest.mark.parametrize(
    "change",
    [
        {"format": 99},
        {"measured": {}},
        {"measured": None},
        {"metered": {view: {"intercept": 0, "sd": 0, "cast_sd": 1, "terms": {}} for view in VIEWS}},
        {"metered": {view: {"intercept": 0, "sd": float("nan"), "cast_sd": 1} for view in VIEWS}},
    ],
)
def test_a_sealed_forgery_is_refused(folder, change) -> None:
    path = folder / "parameters.json"
    path.write_text(json.dumps({**json.loads(path.read_text()), **change}))
    seal(folder)
    with pytest.raises(ModelFault, match="not one of format"):
        load_nose_light(folder)
