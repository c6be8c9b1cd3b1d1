import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.path import Path as Outline
from scipy import stats

from tests.batch.views.made import batch
from tests.batch.views.test_colour_bins import gathered, row_of
from tipvision.batch.views import colour_plot
from tipvision.batch.views.colour_bins import LIGHTNESS, PLANES, YELLOW, Scale
from tipvision.batch.views.colour_plot import DASHES, NAMES, SHAPES, colours_file
from tipvision.batch.views.rows import rows_of
from tipvision.measure.bands import BAND_NAMES, load_bands

SVG = "{http://www.w3.org/2000/svg}"


def drawn(count: int = 80) -> str:
    return colours_file(gathered([row for one in batch(count) for row in rows_of(one)]))


def test_the_file_stands_alone() -> None:
    text = drawn()
    root = ElementTree.fromstring(text)
    assert root.tag == f"{SVG}svg"
    assert not [e for e in root.iter() if e.tag in (f"{SVG}script", f"{SVG}image", f"{SVG}use")]
    assert set(re.findall(r'(?:href|src)="', text)) == set()
    words = {e.text for e in root.iter(f"{SVG}text")}
    assert {NAMES[name] for name in (*BAND_NAMES, "unclear")} <= words
    assert {across.name for across, _ in PLANES} | {up.name for _, up in PLANES} <= words


def test_groups_and_bands_are_told_apart_without_colour() -> None:
    assert len(set(SHAPES.values())) == len(SHAPES)
    assert set(SHAPES) >= {*BAND_NAMES, "unused", "none", "unclear"}
    assert set(DASHES) == set(BAND_NAMES) and len(set(DASHES.values())) == len(DASHES)
    shapes = {colour_plot._shape(name, 0.0, 0.0, 5.0, "#777777") for name in SHAPES}
    assert len(shapes) == len(SHAPES)


@pytest.mark.parametrize("band", load_bands(), ids=lambda band: band.name)
@pytest.mark.parametrize("plane", PLANES, ids=["light", "tint"])
def test_an_outline_holds_95_percent_of_its_band(band, plane: tuple[Scale, Scale]) -> None:
    """Counted among draws of the band; matplotlib says which lie inside, scipy how many may."""
    wide = tuple(Scale(s.at, s.name, -500.0, 500.0, s.bin, ()) for s in plane)
    ring = colour_plot._outline(band, *wide)
    drawn = np.random.default_rng(2).multivariate_normal(band.mean, band.covariance, 4000)
    across, up = wide
    points = np.stack(
        [colour_plot._x(drawn[:, across.at], across), colour_plot._y(drawn[:, up.at], up)], axis=1
    )
    inside = int(Outline(ring).contains_points(points).sum())
    low, high = stats.binom.interval(0.9999, 4000, 0.95)
    assert low - 4000 * 0.003 <= inside <= high  # 48 straight edges cut 0.3 % off the ellipse


def corners(svg: str) -> np.ndarray:
    """The corners of a mark, (n, 2)."""
    return np.array(re.findall(r"([\d.]+) ([\d.]+)[LZ]", svg), float)


def test_a_mark_lies_where_its_colour_is() -> None:
    (one,) = gathered([row_of((50.0, 5.0, 15.0))]).bins(0)
    middle = corners(colour_plot._mark(one, YELLOW, LIGHTNESS, 1)).mean(axis=0)
    half = (colour_plot.LEFT + colour_plot.RIGHT) / 2, (colour_plot.TOP + colour_plot.BOTTOM) / 2
    assert middle == pytest.approx(half, abs=0.1)


def test_areas_are_in_proportion_to_counts() -> None:
    bins = gathered([row_of((50.0, 0.0, 10.0))] * 100 + [row_of((90.0, 0.0, 10.0))] * 25)
    many, few = (
        np.ptp(corners(colour_plot._mark(one, YELLOW, LIGHTNESS, 100)), axis=0)
        for one in bins.bins(0)
    )
    assert many / few == pytest.approx(2.0, rel=0.05)


def test_a_crowd_is_drawn_with_few_marks() -> None:
    labs = np.random.default_rng(4).normal((55.0, 3.0, 12.0), (18.0, 3.0, 7.0), (9000, 3)).tolist()
    row = row_of((50.0, 0.0, 10.0))
    crowd = [replace(row, lab_l=lab[0], lab_a=lab[1], lab_b=lab[2]) for lab in labs]
    few, many = (len(colours_file(gathered(crowd[:count]))) for count in (900, 9000))
    assert many < 1.7 * few


def test_a_batch_without_a_colour_can_be_drawn() -> None:
    assert "0 noses" in colours_file(gathered([]))
