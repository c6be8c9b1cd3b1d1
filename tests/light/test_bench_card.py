"""The card's light: right under any cast and exposure, with a doubt that covers the truth."""

from dataclasses import replace

import numpy as np
import pytest

from tipvision.bench_card.layout import load_layout
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ, decode
from tipvision.light.bench_card import light_of_card
from tipvision.light.correction import Correction
from tipvision.light.find_card import find_bench_card
from tipvision.light.homography import project

TAN, SOOT, CHALK = (0.36, 0.27, 0.19), (0.02, 0.019, 0.018), (0.6, 0.58, 0.55)
LAMPS = {"even": (1.0, 1.0, 1.0), "warm": (1.1, 0.85, 0.5), "cool": (0.7, 0.9, 1.1)}


def patch_light(studio, photo, scene) -> np.ndarray:
    """Mean nominal linear sRGB of the patch in the seat."""
    x, y = project(studio.pose(scene), np.array([load_layout().seat.centre]))[0]
    return decode(photo[int(y) - 10 : int(y) + 10, int(x) - 10 : int(x) + 10] / 255).mean((0, 1))


def lab_of(correction: Correction, light: np.ndarray) -> np.ndarray:
    return xyz_to_lab(correction.xyz(light))


def read(studio, scene):
    photo = studio.photograph(scene)
    card = find_bench_card(photo, scene.size)
    assert card is not None
    return light_of_card(photo, card), patch_light(studio, photo, scene)


def cast_doubt(light, channel: int) -> float:
    """Standard deviation of ln(channel / green) of a grey among the samples."""
    grey = light.samples.xyz(np.full(3, 0.18)) @ np.linalg.inv(RGB_TO_XYZ).T
    return float(np.log(grey[:, channel] / grey[:, 1]).std())


@pytest.mark.parametrize("patch", [TAN, SOOT, CHALK])
@pytest.mark.parametrize("lamp", LAMPS)
def test_the_patch_gets_its_own_colour_back(studio, lamp: str, patch) -> None:
    scene = studio.scene(gains=LAMPS[lamp], patch=patch, tilt=15, azimuth=40, slope=(0.003, -0.002))
    light, seen = read(studio, scene)
    assert light is not None and light.source == "bench_card" and light.reasons == ()
    truth = xyz_to_lab(RGB_TO_XYZ @ patch)
    assert ciede2000(lab_of(light.correction, seen), truth) < 1.0


@pytest.mark.parametrize("lamp", LAMPS)
def test_the_samples_cover_the_truth(studio, lamp: str) -> None:
    light, seen = read(studio, studio.scene(gains=LAMPS[lamp], slope=(0.003, 0.0)))
    assert light is not None and light.samples.draws == 64
    cloud = lab_of(light.samples, seen)
    truth = xyz_to_lab(RGB_TO_XYZ @ TAN)
    off = np.abs(cloud.mean(axis=0) - truth) / cloud.std(axis=0)
    assert off.max() < 1.5
    # The 5 % that the seat's height may cost are 0.9 L* here; the doubt must not be less.
    assert 0.9 < cloud.std(axis=0)[0] < 2.5


def test_the_samples_hold_grey_cards_of_another_make(studio) -> None:
    # A card of 0.187 in place of 0.18, its red 1 % up: within the tolerances that are claimed.
    other = ((0.189, 0.187, 0.187),) * 4
    light, seen = read(studio, studio.scene(grey=other))
    assert light is not None
    cloud = lab_of(light.samples, seen)
    truth = xyz_to_lab(RGB_TO_XYZ @ TAN)
    assert (np.abs(cloud.mean(axis=0) - truth) < 2 * cloud.std(axis=0)).all()


def test_exposure_falls_out(studio) -> None:
    # A stop each way moves the corrected colour by 0.5 at most. The patch is grey-brown and the
    # paper dimmer, so that nothing burns out.
    base = studio.scene(patch=(0.3, 0.24, 0.18), noise=1.5)
    labs = []
    for stop in (-1, 0, 1):
        light, seen = read(
            studio, replace(base, gains=(1.2 * 2.0**stop, 2.0**stop, 0.8 * 2.0**stop))
        )
        assert light is not None
        labs.append(lab_of(light.correction, seen))
    assert ciede2000(labs[0], labs[1]) <= 0.5
    assert ciede2000(labs[2], labs[1]) <= 0.5


def test_the_mixing_doubt_leaves_greys_alone(studio) -> None:
    light, _ = read(studio, studio.scene())
    assert light is not None
    for channel in (0, 2):
        assert cast_doubt(light, channel) < 0.03  # CARD_NEUTRAL_SD in two channels, and noise


def test_the_mixing_doubt_is_worth_several_steps_on_tan(studio, monkeypatch) -> None:
    for other in ("CARD_REFLECTANCE_SD", "CARD_NEUTRAL_SD", "SEAT_HEIGHT_SD", "PLANE_SD"):
        monkeypatch.setattr(f"tipvision.light.bench_card.{other}", 0.0)
    light, seen = read(studio, studio.scene())
    assert light is not None
    apart = ciede2000(lab_of(light.samples, seen), lab_of(light.correction, seen))
    assert 4.0 < apart.mean() < 9.0


def test_what_the_light_says_of_the_card(studio) -> None:
    scene = studio.scene()
    photo = studio.photograph(scene)
    card = find_bench_card(photo, (4096, 3072))
    assert card is not None
    light = light_of_card(photo, card)
    assert light is not None
    assert light.card_corners is card.corners
    assert light.px_per_mm == card.px_per_mm


GREY = (0.18, 0.18, 0.18)


def test_one_spoilt_window_is_left_out(studio) -> None:
    for spoilt in ((0.02, 0.02, 0.02), (0.2, 0.12, 0.06), (0.8, 0.8, 0.8)):
        for place in range(4):
            greys = [GREY] * 4
            greys[place] = spoilt
            lamp = {"gains": (0.7, 0.7, 0.7), "slope": (0.004, 0.003)}
            light, seen = read(studio, studio.scene(grey=tuple(greys), **lamp))
            assert light is not None
            truth = xyz_to_lab(RGB_TO_XYZ @ TAN)
            assert ciede2000(lab_of(light.correction, seen), truth) < 1.0


@pytest.mark.parametrize(
    "fault",
    [
        {"grey": ((0.8, 0.8, 0.8),) * 4},  # no grey card: more white paper
        {"grey": ((0.16, 0.11, 0.06),) * 4},  # no grey card: a wooden bench
        {"grey": ((0.03, 0.03, 0.03),) * 4},  # no grey card: a dark hole
        {"grey": ((0.02, 0.02, 0.02), (0.02, 0.02, 0.02), GREY, GREY)},  # two windows covered
        {"grey": (GREY, (0.25, 0.25, 0.25), (0.25, 0.25, 0.25), GREY)},  # no plane of light
        {"grey": ((0.03, 0.03, 0.03),) * 4, "gains": (1.2, 1.2, 1.2)},  # the same, paper burnt out
        {"slope": (0.02, 0.0)},  # a shadow's edge, not a lamp's fall-off
        {"gains": (6.0, 6.0, 6.0)},  # windows burnt out
        {"gains": (0.003, 0.003, 0.003)},  # next to no light
    ],
)
def test_refused_rather_than_guessed(studio, fault) -> None:
    well = studio.scene()
    card = find_bench_card(studio.photograph(well), well.size)
    assert card is not None
    photo = studio.photograph(replace(well, **fault))
    assert light_of_card(photo, card) is None


def test_two_kinds_of_light_are_named(studio) -> None:
    warm, cool = (0.20, 0.18, 0.15), (0.165, 0.18, 0.21)
    scene = studio.scene(grey=(warm, cool, warm, cool))
    light, _ = read(studio, scene)
    assert light is not None
    assert [reason.code for reason in light.reasons] == ["mixed_light"]
    even, _ = read(studio, studio.scene())
    assert even is not None
    for channel in (0, 2):
        assert cast_doubt(light, channel) > 1.5 * cast_doubt(even, channel)


def test_a_card_with_one_corner_outside_the_photo(studio) -> None:
    scene = studio.scene(fill=0.9, shift=(70, 0), roll=45, size=(1024, 1024))
    photo = studio.photograph(scene)
    card = find_bench_card(photo, scene.size)
    assert card is not None
    assert card.corners[:, 0].max() > 1024 + 100
    light = light_of_card(photo, card)
    assert light is not None
    seen = patch_light(studio, photo, scene)
    assert ciede2000(lab_of(light.correction, seen), xyz_to_lab(RGB_TO_XYZ @ TAN)) < 1.0
