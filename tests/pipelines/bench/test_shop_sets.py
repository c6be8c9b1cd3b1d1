"""What is counted of a shop's sets is what they hold."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.bench import shop_sets as bench
from tests.teaching.made import knowing_model, made_rows

MODEL = knowing_model()
ROWS = made_rows(100)


def test_a_model_that_leaves_all_open_holds_the_truth_and_answers_nothing():
    open_model = replace(MODEL, least=dict.fromkeys(MODEL.least, 0.0))
    held, worst, answered, right = bench.figures_of(ROWS, open_model)
    assert (held, worst, answered) == (1.0, 1.0, 0.0)
    assert np.isnan(right)


def test_a_model_that_answers_always_is_right_as_often_as_its_sets():
    bold = replace(MODEL, least=dict.fromkeys(MODEL.least, 1.0), heat={"lightness": -1e9})
    known = replace(bold, known=replace(bold.known, farthest=1e9))
    held, worst, answered, right = bench.figures_of(ROWS, known)
    assert answered == 1.0
    assert held == pytest.approx(right)
    assert worst <= held < 1.0


def test_every_size_is_told_for_both_models(monkeypatch):
    monkeypatch.setattr(bench, "SIZES", (5,))
    told = list(bench.lines(made_rows(400), MODEL, 1))
    assert [line.split(":")[0] for line in told[1:]] == [
        "  5 plugs a condition, shipped",
        "  5 plugs a condition, taught",
    ]
