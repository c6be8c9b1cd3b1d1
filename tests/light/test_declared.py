"""A lamp that was named: full adaptation after a fixed balance, none after the camera's own."""

import colour
import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.declared import declared_light
from tipvision.light.doubt import EXPOSURE_SD


def test_daylight_with_a_fixed_balance_changes_nothing() -> None:
    light = declared_light("D65", "manual")
    assert np.allclose(light.correction.matrix, RGB_TO_XYZ, atol=1e-12)
    assert light.source == "declared:D65"
    assert light.cct_k == pytest.approx(6504, abs=20)  # CIE 15: D65 lies at 6504 K


@pytest.mark.parametrize("name", ["A", "D50", "FL2", "FL11"])
def test_a_fixed_balance_is_adapted_in_full(name: str) -> None:
    # reference library: colour-science, chromatic_adaptation (Von Kries, Bradford)
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    colours = np.array([[0.4, 0.3, 0.2], [0.02, 0.02, 0.03], [0.7, 0.7, 0.68]])
    wanted = colour.adaptation.chromatic_adaptation_VonKries(
        colours @ RGB_TO_XYZ.T,
        colour.xy_to_XYZ(whites[name]),
        colour.xy_to_XYZ([0.3127, 0.3290]),
        transform="Bradford",
    )
    light = declared_light(name, "manual")
    assert np.abs(light.correction.xyz(colours) - wanted).max() < 1e-6


@pytest.mark.parametrize("balance", ["auto", None])
def test_after_the_cameras_own_balance_colours_stand(balance: str | None) -> None:
    light = declared_light("A", balance)
    assert np.array_equal(light.correction.matrix, RGB_TO_XYZ)
    assert light.cct_k == pytest.approx(2856, rel=0.01)  # CIE 15: illuminant A


def test_the_camera_leaves_more_doubt_than_a_fixed_balance() -> None:
    def cast(balance: str) -> float:
        light = declared_light("D65", balance)
        gains = (light.samples.matrix / light.correction.matrix)[:, 1]
        return float(np.log(gains[:, 0] / gains[:, 1]).std())

    assert 0.0 < cast("manual") < cast("auto")


@pytest.mark.parametrize("balance", ["manual", "auto"])
def test_exposure_is_not_known(balance: str) -> None:
    light = declared_light("D65", balance)
    green = np.log((light.samples.matrix / light.correction.matrix)[:, 1, 1])
    assert green.std() == pytest.approx(EXPOSURE_SD)


def test_kelvin_are_a_name_too() -> None:
    assert declared_light("4000K", "manual").cct_k == pytest.approx(4000, rel=0.005)


def test_an_unknown_lamp_is_a_mistake_to_tell() -> None:
    with pytest.raises(ValueError, match="moonshine"):
        declared_light("moonshine", None)


@pytest.mark.parametrize(("fired", "codes"), [(True, ["light_mismatch"]), (False, []), (None, [])])
def test_a_flash_beside_the_lamp_gates(fired: bool | None, codes: list[str]) -> None:
    assert [reason.code for reason in declared_light("4000K", "auto", fired).reasons] == codes
