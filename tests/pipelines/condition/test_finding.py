"""A finding is told where it can be learned, and left null where it cannot."""

from dataclasses import replace

import numpy as np

from pipelines.condition.finding import FEWEST_PLUGS, Tried, fit_detectors
from pipelines.condition.fit import values_of
from pipelines.condition.regression import Settings, fit_curves
from tests.pipelines.condition.made import made_table
from tipvision.condition.condition import CONDITIONS, FINDINGS
from tipvision.condition.detectors import detected

GLAZED, DUST, ASH = (FINDINGS.index(name) for name in ("glazed", "dust", "ash"))


def test_what_shows_is_kept_what_does_not_is_null():
    table = made_table(400)
    shown = np.zeros((len(table), len(FINDINGS)), bool)
    plug = np.arange(len(table)) // 2
    shown[:, GLAZED] = plug % 3 == 0
    shown[:, DUST] = plug % 4 == 0
    shown[:, ASH] = plug < FEWEST_PLUGS - 1
    table.once[:, 3] += np.where(shown[:, GLAZED], 5, 0)  # dust leaves no trace at all
    table = replace(table, findings=shown)
    curves = fit_curves(table, table.label, CONDITIONS, Settings(3.0, 0.3))
    values = values_of(table)
    detectors, tried = fit_detectors(table, values, curves)
    assert detectors.names == ("glazed",)
    assert {one.name: one.kept for one in tried} == {"glazed": True, "dust": False}
    told = [detected(detectors, curves, row) for row in values[:30]]
    right = [(t["glazed"] >= 0.5) == shown[k, GLAZED] for k, t in enumerate(told)]
    assert np.mean(right) > 0.9
    assert {t["dust"] for t in told} == {None}


def test_precise_and_telling_enough_is_kept():
    assert Tried("ash", 100, 40, 36).kept
    assert not Tried("ash", 100, 40, 22).kept  # too often wrong
    assert not Tried("ash", 1000, 40, 36).kept  # tells of too few
    assert not Tried("ash", 100, 0, 0).kept
