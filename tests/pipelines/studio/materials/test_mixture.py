"""Shares between two looks come out as asked for, in every pattern."""

import numpy as np
import pytest

from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.materials.cover import TEXELS
from pipelines.studio.materials.mixture import (
    PATTERNS,
    Pattern,
    covered,
    covers_of,
    laid_over,
    pattern_of,
)
from pipelines.studio.materials.place import Place, film
from pipelines.studio.materials.spectra import lab, matter
from pipelines.studio.materials.surface import Layer, Surface, mixed, texel_points
from pipelines.studio.plug import sample_plug

BANDS = np.arange(16)


def _nose(seed: int) -> Place:
    plug = sample_plug(seed, "normal")
    return Place(plug, "nose", texel_points(plug_parts(plug)["nose"], *TEXELS["nose"]), seed)


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("share", [0.15, 0.4, 0.8])
def test_the_mean_cover_of_the_nose_that_shows_is_the_share(pattern: Pattern, share: float) -> None:
    nose = _nose(5)
    cover = covered(nose, share, pattern)(nose)
    assert cover.min() >= 0.0
    assert cover.max() <= 1.0
    assert (cover * nose.visible).sum() / nose.visible.sum() == pytest.approx(share, abs=0.01)


def test_patterns_look_different() -> None:
    nose = _nose(5)
    seen = nose.visible > 0
    spread = {p: float(np.std(covered(nose, 0.5, p)(nose)[seen])) for p in PATTERNS}
    # "even" is in between nearly everywhere, the others are mostly one or the other.
    assert spread["even"] < 0.2
    assert min(v for p, v in spread.items() if p != "even") > 0.22
    sided = covered(nose, 0.5, "one_sided")(nose)
    assert np.corrcoef(sided[seen], nose.side[seen])[0, 1] > 0.6
    patchy = covered(nose, 0.5, "patchy")(nose)
    assert abs(np.corrcoef(patchy[seen], nose.side[seen])[0, 1]) < 0.6


def test_all_patterns_are_drawn() -> None:
    assert {pattern_of(seed) for seed in range(60)} == set(PATTERNS)


def test_the_upper_look_is_what_settles_later() -> None:
    nose = _nose(3)
    assert list(covers_of(nose, {"dry_black": 0.4, "normal": 0.6})) == ["dry_black"]
    cover = covers_of(nose, {"dry_black": 0.4, "normal": 0.6})["dry_black"](nose)
    assert (cover * nose.visible).sum() / nose.visible.sum() == pytest.approx(0.4, abs=0.01)


@pytest.mark.parametrize("share", [0.0, 0.3, 0.7, 1.0])
def test_a_mixtures_colour_lies_between_its_ends(share: float) -> None:
    one = Surface((Layer(matter("ceramic")), Layer(matter("tan"), np.full((4, 4), 0.9))))
    other = Surface((Layer(matter("ceramic")), Layer(matter("soot"), np.full((4, 4), 0.97))))
    full, cover = (np.full((4, 4), v) for v in (1.0, share))
    a, b, whole, between = (
        lab(mixed(s, BANDS)[0][0, 0].astype(float))
        for s in (one, other, laid_over(one, other, full), laid_over(one, other, cover))
    )
    assert np.all(between >= np.minimum(a, whole) - 0.5)
    assert np.all(between <= np.maximum(a, whole) + 0.5)
    # What is 3 % open in the upper look shows the lower look, not bare ceramic.
    assert whole == pytest.approx(b, abs=6.0)
    if share == 0.0:
        assert between == pytest.approx(a, abs=1e-3)


def test_half_a_film_of_soot_is_about_half_way_down_in_lightness() -> None:
    one = Surface((Layer(matter("ceramic")), Layer(matter("tan"), np.full((4, 4), 0.9))))
    other = Surface((Layer(matter("ceramic")), film(matter("soot"), np.full((4, 4), 0.99))))
    light = [
        lab(mixed(laid_over(one, other, np.full((4, 4), c)), BANDS)[0][0, 0].astype(float))[0]
        for c in (0.0, 0.5, 1.0)
    ]
    assert 0.3 < (light[0] - light[1]) / (light[0] - light[2]) < 0.75
