from dataclasses import replace

import numpy as np
import pytest

from tests.batch.views.made import batch, entry
from tests.report import samples
from tipvision.batch.views.colour_bins import OPEN, PLANES, ColourBins
from tipvision.batch.views.rows import Row, rows_of


def row_of(lab: tuple[float, float, float], reading=samples.READ) -> Row:
    return rows_of(entry("a.jpg", replace(reading, measurement=samples.measurement(lab))))[0]


def gathered(rows: list[Row]) -> ColourBins:
    bins = ColourBins()
    for row in rows:
        bins.add(row)
    return bins


@pytest.mark.parametrize("plane", range(len(PLANES)))
def test_every_measured_nose_is_in_one_bin(plane: int) -> None:
    rows = [row for one in batch(200) for row in rows_of(one)]
    bins = gathered(rows)
    measured = [(r.lab_l, r.lab_a, r.lab_b) for r in rows if r.lab_l is not None]
    found = list(bins.bins(plane))
    assert bins.measured == len(measured) == sum(one.count for one in found)
    mean = sum(one.count * np.array(one.lab) for one in found) / len(measured)
    assert np.allclose(mean, np.mean(np.array(measured, float), axis=0))
    assert [one.count for one in found] == sorted((one.count for one in found), reverse=True)


def test_a_nose_alone_keeps_its_own_colour() -> None:
    (one,) = gathered([row_of((33.25, 1.5, 7.75))]).bins(0)
    assert (one.count, one.lab) == (1, (33.25, 1.5, 7.75))


def test_a_bin_has_the_most_frequent_of_its_settled_answers() -> None:
    lab = (50.0, 2.0, 8.0)
    unclear, dark, pale = (row_of(lab, r) for r in (samples.UNCLEAR, samples.READ, samples.PALE))
    assert [one.group for one in gathered([unclear] * 9).bins(0)] == [OPEN]
    assert [one.group for one in gathered([unclear] * 9 + [pale]).bins(1)] == ["chalk_white"]
    assert [one.group for one in gathered([pale, dark, dark]).bins(0)] == ["dry_black"]


def test_what_lies_off_the_ends_is_counted_and_still_drawn() -> None:
    bins = gathered(
        [row_of((50.0, 2.0, 8.0)), row_of((50.0, 60.0, 8.0)), row_of((50.0, 60.0, 90.0))]
    )
    assert (bins.measured, bins.outside) == (3, 2)
    assert sum(one.count for one in bins.bins(1)) == 3


def test_many_noses_make_few_bins() -> None:
    rng = np.random.default_rng(5)
    base = row_of((50.0, 2.0, 8.0))
    bins = ColourBins()
    for lightness, red, yellow in rng.uniform((-20, -99, -99), (120, 99, 99), (4000, 3)).tolist():
        bins.add(replace(base, lab_l=lightness, lab_a=red, lab_b=yellow))
    for plane, (across, up) in enumerate(PLANES):
        most = np.prod([(scale.high - scale.low) / scale.bin + 1 for scale in (across, up)])
        assert len(list(bins.bins(plane))) <= most < 900
