"""A chart in a photo becomes the photo's light, or is refused."""

from dataclasses import replace

import numpy as np
import pytest

from tipvision.light.chart.editions import LATEST
from tipvision.light.chart.find import find_chart
from tipvision.light.from_chart import fit_of_chart, light_of_chart
from tipvision.photo.photo import open_photo


@pytest.fixture(scope="module")
def fit(chart_photo):
    photo = open_photo(str(chart_photo))
    return fit_of_chart(photo, find_chart(photo.overview(), photo.size), LATEST)


def test_a_good_fit_is_a_light_without_a_note(fit) -> None:
    light = light_of_chart(replace(fit, verdict="good", reason=""))
    assert (light.source, light.level_known, light.notes) == ("chart", True, ())
    assert light.residual == fit.mean
    assert light.samples.draws == 64


def test_the_samples_lie_round_the_best_guess(fit) -> None:
    light = light_of_chart(fit)
    rgb = np.array([0.2, 0.15, 0.1])
    cloud, best = np.log(light.samples.xyz(rgb)), np.log(light.correction.xyz(rgb))
    assert (np.abs(cloud.mean(axis=0) - best) < cloud.std(axis=0)).all()


def test_a_usable_fit_says_what_is_wrong(fit) -> None:
    (note,) = light_of_chart(replace(fit, verdict="usable", reason="it is dirty.")).notes
    assert "it is dirty." in note


def test_a_refused_fit_is_no_light(fit) -> None:
    assert light_of_chart(replace(fit, verdict="refused", correction=None, samples=None)) is None


def test_an_unknown_edition_is_told(chart_photo) -> None:
    photo = open_photo(str(chart_photo))
    with pytest.raises(ValueError, match="moonshine"):
        fit_of_chart(photo, find_chart(photo.overview(), photo.size), "moonshine")
