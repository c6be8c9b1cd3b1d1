"""Drawn lamps: allowed illuminants only, known brightness, and nothing that could know a plug."""

import inspect

import numpy as np
import pytest

from pipelines.studio.lights.rigs import KINDS, lamp_of, sample_lights, strength
from pipelines.studio.lights.spectra import ILLUMINANTS

EYE = (40.0, -150.0, 160.0)


def test_only_allowed_illuminants_are_drawn_and_a_seed_repeats() -> None:
    allowed = ("A", "LED-B3", "FL4")
    for seed in range(40):
        lights = sample_lights(seed, allowed, EYE)
        assert {g.illuminant for g in lights.groups} <= set(allowed)
        assert lights == sample_lights(seed, allowed, EYE)
    with pytest.raises(ValueError, match="name at least one"):
        sample_lights(1, (), EYE)


def test_every_series_and_kind_of_lamp_turns_up_and_about_a_third_are_mixed() -> None:
    drawn = [sample_lights(seed, ILLUMINANTS, EYE, mixed=0.3) for seed in range(400)]
    assert {light.kind for light in drawn} == set(KINDS)
    assert {light.groups[0].illuminant for light in drawn} >= {"A", "D50", "D65", "FL2", "LED-V1"}
    mixed = [light for light in drawn if len(light.groups) == 2]
    # 400 draws at 0.3: 120 ± 4 standard deviations of 9.2.
    assert 83 < len(mixed) < 157
    assert all(light.groups[0].illuminant != light.groups[1].illuminant for light in mixed)
    assert all(0 < light.share < 1 for light in mixed)
    assert all(light.share == 0 for light in drawn if len(light.groups) == 1)
    assert any(light.shade is not None for light in drawn)
    assert any(light.dim > 0 for light in drawn)


@pytest.mark.parametrize("kind", KINDS)
def test_lamps_give_a_facing_white_surface_radiance_one(kind: str) -> None:
    lamp = lamp_of(kind, np.random.default_rng(3), EYE)
    assert strength(lamp) == pytest.approx(1.0)


def test_a_flash_sits_beside_the_lens() -> None:
    for seed in range(20):
        lamp = lamp_of("flash", np.random.default_rng(seed), EYE, (5.0, 0.0, 8.0))
        off = np.subtract(lamp.place, EYE)
        assert 10 <= np.linalg.norm(off) <= 18
        assert off @ np.subtract((5.0, 0.0, 8.0), EYE) == pytest.approx(0, abs=1e-6)


def test_light_is_drawn_without_anything_that_tells_a_condition() -> None:
    assert set(inspect.signature(sample_lights).parameters) == {
        "seed", "allowed", "eye", "subject", "mixed",
    }  # fmt: skip
