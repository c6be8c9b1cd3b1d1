"""Fit the condition model: curves, calibration, sets, and what lies outside."""

import numpy as np
from sklearn.covariance import LedoitWolf
from sklearn.model_selection import StratifiedGroupKFold

from pipelines.condition.finding import Tried, fit_detectors
from pipelines.condition.heat import heat_of
from pipelines.condition.regression import Settings, fit_curves, log_chances
from pipelines.condition.rows import NO_PLUG, Table
from tipvision.condition.condition import CONDITIONS, LABELS
from tipvision.condition.curves import Array
from tipvision.condition.features import NAMES
from tipvision.condition.known import Known
from tipvision.condition.model import Model
from tipvision.teaching.calibration import calibrated, sharpened
from tipvision.teaching.conformal import least_probability

COVERAGE = 0.95
FOLDS = 5
FALSE_ALARMS = 0.01  # share of plugs that may be called unlike any
FEWEST_NONE = 40  # plugs that findings alone describe, from which "none" is a label (our estimate)


def fit_model(
    table: Table, settings: Settings, name: str, version: str
) -> tuple[Model, tuple[Tried, ...]]:
    """The model of all rows of a table that show a plug, and how the findings tried came out.

    Calibration and thresholds come from rows held out by render (`FOLDS` parts), and from those
    alone that the tool would answer: under its own light, with no gate fired.
    Raises ValueError where a condition has fewer than `FOLDS` plugs.
    """
    table = table.where(table.label != NO_PLUG)
    lonely = len(np.unique(table.plug[table.label == "none"]))
    labels = LABELS if lonely >= FEWEST_NONE else CONDITIONS
    table = table.where(np.isin(table.label, labels))
    _must_hold_all(table, labels)
    held_out = held_out_chances(table, labels, settings)
    told = table.where(table.fit_to_read)
    truth = np.array([labels.index(label) for label in told.label])
    calibration = calibrated(held_out[table.fit_to_read], truth)
    chances = np.exp(sharpened(held_out[table.fit_to_read], calibration))
    curves = fit_curves(table, table.label, labels, settings)
    values = values_of(table)
    detectors, tried = fit_detectors(table, values, curves)
    model = Model(
        name=name,
        version=version,
        coverage=COVERAGE,
        labels=labels,
        curves=curves,
        sharpness=calibration.sharpness,
        shifts=calibration.shifts,
        least=_least(chances, told, labels),
        heat=heat_of(told),
        medians=_medians(table, labels),
        known=known_of(told, labels),
        detectors=detectors,
    )
    return model, tried


def held_out_chances(table: Table, labels: tuple[str, ...], settings: Settings) -> Array:
    """ln probabilities (r, c) before calibration, each row by curves that saw no photo of its
    render (`FOLDS` parts)."""
    chances = np.zeros((len(table), len(labels)))
    folds = StratifiedGroupKFold(FOLDS, shuffle=True, random_state=1)
    for learn, hold in folds.split(chances, table.label, table.render):
        part = table.where(learn)
        curves = fit_curves(part, part.label, labels, settings)
        chances[hold] = log_chances(curves, table.where(hold))
    return chances


def _must_hold_all(table: Table, labels: tuple[str, ...]) -> None:
    for label in labels:
        plugs = len(np.unique(table.plug[table.label == label]))
        if plugs < FOLDS:
            raise ValueError(f"{plugs} plugs that are {label} are too few; {FOLDS} are the least")


def _least(chances: Array, table: Table, labels: tuple[str, ...]) -> dict[str, float]:
    """For each condition, of its probability among the conditions."""
    told = chances[:, : len(CONDITIONS)]
    told = told / told.sum(axis=1, keepdims=True)
    least = dict.fromkeys(labels, 0.0)
    for k, label in enumerate(CONDITIONS):
        own = table.label == label
        least[label] = least_probability(told[own, k], table.plug[own], COVERAGE)
    return least


def values_of(table: Table) -> Array:
    """One value of each feature for each row, as `judge.usual_values` takes them."""
    mean = table.under_light.astype(np.float64).mean(axis=1)
    return np.concatenate([mean, table.once.astype(np.float64)], axis=1)


def _medians(table: Table, labels: tuple[str, ...]) -> Array:
    values, own = values_of(table), table.own
    usual = np.nan_to_num(np.nanmedian(values[own], axis=0))
    rows = [np.nanmedian(values[own & (table.label == label)], axis=0) for label in labels]
    return np.where(np.isnan(rows), usual, rows)


def known_of(table: Table, labels: tuple[str, ...]) -> Known:
    """Where the labels lie, and how far `FALSE_ALARMS` of the plugs are from all of them."""
    values = values_of(table)
    usual = np.nan_to_num(np.nanmedian(values, axis=0))
    filled = np.where(np.isnan(values), usual, values)
    spread = np.maximum(filled.std(axis=0), 1e-6)
    scaled = (filled - usual) / spread
    middles = np.array(
        [
            scaled[table.label == label].mean(axis=0)
            if (table.label == label).any()
            else np.zeros(len(NAMES))
            for label in labels
        ]
    )
    owner = np.array([labels.index(label) for label in table.label])
    precision = LedoitWolf(assume_centered=True).fit(scaled - middles[owner]).precision_
    loose = Known(usual, spread, middles, np.asarray(precision, np.float64), np.inf)
    away = np.array([loose.distance(row) for row in values])
    return Known(
        usual, spread, middles, loose.precision, float(np.quantile(away, 1 - FALSE_ALARMS))
    )
