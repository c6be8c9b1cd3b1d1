"""A fit undoes camera, lamp, shading and tone curve, and refuses a chart that does not fit."""

import numpy as np
import pytest

from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import lab_to_xyz, xyz_to_lab
from tipvision.light.chart.editions import LATEST, edition_of
from tipvision.light.chart.fit import fit_chart
from tipvision.light.chart.patches import Patches
from tipvision.light.chart.regression import AWAY

EDITION = edition_of(LATEST)
MIX = np.array([[0.45, 0.3, 0.15], [0.25, 0.6, 0.1], [0.05, 0.15, 0.8]])
UNMIX = np.linalg.inv(MIX).T
NOSES = np.array([[88.0, 0.0, 5.0], [62.0, 6.0, 18.0], [40.0, 5.0, 12.0], [18.0, 0.5, 2.0]])


def patches_of(light: np.ndarray, error: float = 0.003, clipped=()) -> Patches:
    share = np.zeros(24)
    share[list(clipped)] = 1.0
    light = np.maximum(light, 1e-4)
    return Patches(light, error * light, error * light, share, np.full(24, 500))


def seen(xyz: np.ndarray, exponent: float = 1.0) -> np.ndarray:
    return 0.2 * np.maximum(xyz @ UNMIX * 0.8 / 0.2, 1e-6) ** (1 / exponent)


def misses(fit, exponent: float = 1.0) -> np.ndarray:
    rgb = seen(lab_to_xyz(NOSES), exponent)
    return ciede2000(xyz_to_lab(fit.correction.xyz(rgb)), NOSES)


@pytest.mark.parametrize("exponent", [0.6, 0.85, 1.0, 1.15])
@pytest.mark.parametrize("slope", [(0.0, 0.0), (0.06, -0.04)])
def test_colours_that_are_not_on_the_chart_come_out_right(exponent: float, slope) -> None:
    light = seen(EDITION.xyz * np.exp(AWAY @ slope)[:, None], exponent)
    fit = fit_chart(patches_of(light), EDITION)
    assert fit.verdict == "good"
    assert fit.shading == pytest.approx(slope, abs=0.01)
    assert misses(fit, exponent).max() < 1.5
    assert ("tone curve" in fit.model) == (exponent != 1.0)


def test_samples_are_alike_each_time_and_lie_about_the_correction() -> None:
    rng = np.random.default_rng(4)
    light = seen(EDITION.xyz) * np.exp(rng.normal(0, 0.01, (24, 3)))
    fit, again = (fit_chart(patches_of(light, 0.01), EDITION) for _ in range(2))
    assert fit.samples.draws == 64
    assert (fit.samples.matrix == again.samples.matrix).all()
    rgb = seen(lab_to_xyz(NOSES))
    spread = xyz_to_lab(fit.samples.xyz(rgb))
    middle, sd = spread.mean(axis=0), spread.std(axis=0)
    assert (np.abs(middle - xyz_to_lab(fit.correction.xyz(rgb))) < sd + 0.05).all()
    assert (sd[:, 0] > 0.1).all()


def test_more_noise_means_more_doubt() -> None:
    rng = np.random.default_rng(4)
    rgb, spreads = seen(lab_to_xyz(NOSES)), []
    for noise in (0.003, 0.05):
        light = seen(EDITION.xyz) * np.exp(rng.normal(0, noise, (24, 3)))
        fit = fit_chart(patches_of(light, noise), EDITION)
        spreads.append(xyz_to_lab(fit.samples.xyz(rgb)).std(axis=0).mean())
    assert spreads[1] > 2 * spreads[0]


def test_the_true_colour_lies_within_the_doubt() -> None:
    rng = np.random.default_rng(7)
    rgb, inside, count = seen(lab_to_xyz(NOSES)), 0, 0
    for _ in range(8):
        light = seen(EDITION.xyz) * np.exp(rng.normal(0, 0.02, (24, 3)))
        fit = fit_chart(patches_of(light, 0.02), EDITION)
        for colours, lab in zip(
            np.moveaxis(xyz_to_lab(fit.samples.xyz(rgb)), 1, 0), NOSES, strict=True
        ):
            away = lab - colours.mean(axis=0)
            inside += away @ np.linalg.solve(np.cov(colours.T), away) <= 7.815
            count += 1
    assert inside >= 0.9 * count


def test_clipped_patches_are_left_out() -> None:
    light = seen(EDITION.xyz)
    light[[18, 19]] = 0.5
    fit = fit_chart(patches_of(light, clipped=(18, 19)), EDITION)
    assert fit.verdict == "good" and fit.left_out.nonzero()[0].tolist() == [18, 19]
    assert misses(fit).max() < 1.0


@pytest.mark.parametrize("clipped", [range(10), (18, 19, 20, 21)])
def test_too_many_clipped_patches_are_refused_with_the_remedy(clipped) -> None:
    fit = fit_chart(patches_of(seen(EDITION.xyz), clipped=clipped), EDITION)
    assert fit.verdict == "refused" and fit.correction is None and fit.samples is None
    assert f"{len(clipped)} of its 24 patches" in fit.reason and "darker" in fit.reason


def test_a_hidden_patch_is_left_out_and_a_false_chart_is_refused() -> None:
    light = seen(EDITION.xyz)
    light[3] = np.nan
    hidden = Patches(light, light * 0.003, light * 0.003, np.zeros(24), np.full(24, 500))
    assert fit_chart(hidden, EDITION).verdict == "good"
    rng = np.random.default_rng(0)
    false = fit_chart(patches_of(rng.uniform(0.02, 0.9, (24, 3))), EDITION)
    assert false.verdict == "refused" and "miss their printed colours" in false.reason


def test_shine_on_a_patch_is_told() -> None:
    light = seen(EDITION.xyz)
    light[[9, 16, 22]] += 0.35
    fit = fit_chart(patches_of(light), EDITION)
    assert fit.verdict != "good" and fit.most > 10
