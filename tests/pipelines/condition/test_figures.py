"""Figures that are known beforehand come out as they are."""

import numpy as np
import pytest
from sklearn.metrics import cohen_kappa_score, f1_score

from pipelines.condition.figures import (
    ORDER,
    calibration_line,
    counts_of,
    judged_rows,
    kappa,
    lines,
    macro_f1,
)
from tests.condition.examples import plain_model
from tests.pipelines.condition.made import made_table
from tipvision.condition.condition import CONDITIONS, LABELS
from tipvision.teaching.held_out import BINS


def test_f1_and_kappa_are_those_of_scikit_learn():
    """Reference library: scikit-learn."""
    rng = np.random.default_rng(6)
    truth = rng.choice(CONDITIONS, 300)
    answers = np.where(rng.random(300) < 0.6, truth, rng.choice(CONDITIONS, 300))
    counts = counts_of(truth, answers)
    assert macro_f1(counts) == pytest.approx(f1_score(truth, answers, average="macro"))
    both = np.isin(truth, ORDER) & np.isin(answers, ORDER)
    places = [[ORDER.index(name) for name in side[both]] for side in (truth, answers)]
    assert kappa(counts) == pytest.approx(cohen_kappa_score(*places, weights="linear"))


def test_true_probabilities_are_off_by_what_chance_makes_and_no_more():
    rng = np.random.default_rng(1)
    chances = rng.dirichlet(np.ones(6), 800)
    truth = np.array([rng.choice(LABELS, p=row) for row in chances])
    line = calibration_line(chances, truth)
    found, floor = (
        float(word) for word in line.replace("(", " ").split() if word[0].isdigit() and "." in word
    )
    assert abs(found - floor) < 2.0
    assert str(BINS) in line


def test_a_model_that_always_says_chalk_white_is_shown_to():
    model = plain_model(specks={"chalk_white": 1e3})
    table = made_table(40)
    table.once[:, 1] = 3.0  # specks everywhere: a sign of heat
    told = "\n".join(lines(judged_rows(table, model)))
    noses = int(((table.label == "unused") & (table.gated == "") & (table.source == "chart")).sum())
    assert f"unused called chalk white: {noses} of {noses} = 100%" in told
    assert "chalk_white  " in told


def test_noses_of_one_condition_are_counted_apart_from_those_where_two_meet():
    table = made_table(40)
    table.once[:, 1] = 3.0  # specks everywhere: a sign of heat
    table.source[:] = "chart"
    table.shares[:] = 0.0
    meet = table.render % 8 >= 5
    table.shares[~meet, 0] = 0.995
    table.shares[~meet, 1] = 0.005
    table.shares[meet, :2] = (0.98, 0.02)
    told = list(lines(judged_rows(table, plain_model(specks={"chalk_white": 1e3}))))
    hot = table.label == "chalk_white"
    for what, chosen in (("one condition all over", ~meet), ("two conditions meet", meet)):
        fit = table.fit_to_read & chosen
        right, count = int((fit & hot).sum()), int(fit.sum())
        assert 0 < right < count
        start = told.index(f"  {what}:")
        assert told[start + 1].startswith(f"    answered: {count} of {count} = 100%")
        assert told[start + 2].startswith(f"    right, of those: {right} of {count} = ")
        assert told[start + 3].startswith(f"    likeliest label right: {right} of {count} = ")
