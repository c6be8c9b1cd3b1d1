"""A grey card's light: right under any cast and exposure, refused where it cannot be."""

import numpy as np
import pytest

from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ, decode, encode
from tipvision.light.grey_card import GreyView, light_of_grey

TAN = np.array([0.36, 0.27, 0.19])
QUAD = np.array([[100.0, 80.0], [300.0, 90.0], [310.0, 230.0], [90.0, 220.0]])


def scene(gains=(1.0, 1.0, 1.0), grey=0.18, slope=0.0, seed=0, noise=1.0) -> np.ndarray:
    """A grey ground with a tan patch, under a cast and a fall-off across."""
    light = np.full((300, 400, 3), grey)
    light[250:290, 20:60] = TAN
    light *= np.array(gains) * np.exp(slope * np.linspace(-0.5, 0.5, 400))[:, None]
    codes = 255 * encode(np.clip(light, 0, 1))
    codes += np.random.default_rng(seed).normal(0, noise, codes.shape)
    return np.clip(np.round(codes), 0, 255).astype(np.uint8)


def patch_lab(correction, picture) -> np.ndarray:
    return xyz_to_lab(correction.xyz(decode(picture[255:285, 25:55] / 255).mean((0, 1))))


@pytest.mark.parametrize("gains", [(1, 1, 1), (1.5, 1.0, 0.5), (0.6, 0.9, 1.4), (0.3, 0.3, 0.3)])
def test_the_patch_gets_its_own_colour_back(saved, gains) -> None:
    picture = scene(gains)
    light = light_of_grey(saved(picture), GreyView(QUAD), 0.18)
    assert light.source == "grey_card" and light.level_known
    truth = xyz_to_lab(RGB_TO_XYZ @ TAN)
    assert ciede2000(patch_lab(light.correction, picture), truth) < 1.0
    cloud = patch_lab(light.samples, picture)
    assert (np.abs(cloud.mean(axis=0) - truth) < 2 * cloud.std(axis=0)).all()


def test_the_reflectance_is_a_setting(saved) -> None:
    picture = scene(grey=0.36)
    light = light_of_grey(saved(picture), GreyView(QUAD), 0.36)
    assert light.correction.luminance(np.full((1, 3), 0.36))[0] == pytest.approx(0.36, rel=0.01)


def test_uneven_light_leaves_more_doubt(saved) -> None:
    def level_doubt(slope: float) -> float:
        light = light_of_grey(saved(scene(slope=slope)), GreyView(QUAD), 0.18)
        return float(np.log(light.samples.luminance(np.full((1, 3), 0.18))).std())

    even, uneven = level_doubt(0.0), level_doubt(0.5)
    assert 0.03 < even < 0.05  # the card's own tolerance
    assert uneven > even + 0.04


@pytest.mark.parametrize(
    ("picture", "quad", "why"),
    [
        (scene((9, 9, 9)), QUAD, "burnt out"),
        (scene((0.01, 0.01, 0.01), noise=0), QUAD, "too dark"),
        (scene(slope=2.0), QUAD, "shadow or shine"),
        (scene(), QUAD / 20, "too small"),
        (scene(), QUAD + 1000, "too small"),
    ],
)
def test_what_tells_no_light_says_why(saved, picture, quad, why: str) -> None:
    told = light_of_grey(saved(picture), GreyView(quad), 0.18)
    assert isinstance(told, str) and why in told


def test_a_plug_on_the_card_moves_nothing(saved) -> None:
    bare, covered = scene(), scene()
    covered[130:180, 150:210] = 20
    gains = [
        light_of_grey(saved(picture), GreyView(QUAD), 0.18).correction.matrix
        for picture in (bare, covered)
    ]
    assert gains[1] == pytest.approx(gains[0], rel=0.01)
