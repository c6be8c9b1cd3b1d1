"""Fit the curves of the condition model; scikit-learn does the fitting, plain arrays come out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression
from threadpoolctl import threadpool_limits

from pipelines.condition.rows import Table
from tipvision.condition.curves import Array, Curves, averaged
from tipvision.condition.features import NAMES, SEEN
from tipvision.condition.model import KNOTS

AT = (0.01, 0.99)  # quantiles of the outer knots
DRAWS = 4  # draws of the light that are fitted on, of 64
FLAT = 1e-9


@dataclass(frozen=True)
class Settings:
    """strength: of the pull of all slopes towards 0 (1 / C of scikit-learn). bent: how freely the
    bent columns move beside the straight ones, 0 to 1; 0 leaves straight lines."""

    strength: float = 100.0
    bent: float = 0.35


def fit_curves(
    table: Table, labels: NDArray[np.str_], names: tuple[str, ...], settings: Settings
) -> Curves:
    """Curves for these label names from all rows of a table, each of its draws of the light with
    the same weight: what the light leaves open, the curves learn to lean on less. (Draws weighed by
    how well they agree with the truth, by turns, did no better on held-out plugs.)"""
    values = table.values(DRAWS)
    rows, draws, _ = values.shape
    flat = values.reshape(rows * draws, -1)
    knots, usual = knots_of(flat)
    empty = Curves(
        knots,
        usual,
        np.zeros((len(NAMES), KNOTS - 1)),
        np.ones((len(NAMES), KNOTS - 1)),
        np.zeros((len(names), len(NAMES), KNOTS - 1)),
        np.zeros(len(names)),
    )
    columns = empty.standard(flat)
    means, spreads = columns.mean(axis=0), columns.std(axis=0)
    told = spreads > FLAT
    told[[NAMES.index(name) for name in SEEN], 1:] = False
    scales = np.where(told, spreads, 1.0)
    scales[:, 1:] /= max(settings.bent, FLAT)
    if settings.bent == 0:
        told[:, 1:] = False
    design = ((columns - means) / scales)[:, told].astype(np.float64)
    truth = np.array([names.index(label) for label in labels])
    weights = np.full(rows * draws, 1 / draws)
    model = LogisticRegression(C=1 / settings.strength, max_iter=300, tol=1e-3)
    with threadpool_limits(1):  # quicker for so small arrays, and the same sums every time
        model.fit(design, np.repeat(truth, draws), sample_weight=weights)
    slopes = np.zeros((len(names), len(NAMES), KNOTS - 1))
    slopes[:, told] = model.coef_
    return Curves(knots, usual, means, scales, slopes, model.intercept_.astype(np.float64))


def knots_of(values: Array) -> tuple[Array, Array]:
    """Knots and the usual value of each feature, float64 (f, KNOTS) and (f,)."""
    knots, usual = [], []
    for column in values.T:
        known = column[np.isfinite(column)]
        known = known if known.size else np.zeros(1)
        low, high = np.quantile(known, AT)
        low, high = (low, high) if high - low > FLAT else (float(low) - 0.5, float(low) + 0.5)
        inner = np.quantile(known, np.linspace(*AT, KNOTS))
        even = np.linspace(low, high, KNOTS)
        crowded = np.diff(inner).min() < 0.05 * (high - low)
        knots.append(even if crowded else inner)
        usual.append(float(np.median(known)))
    return np.array(knots), np.array(usual)


def log_chances(curves: Curves, table: Table) -> Array:
    """ln of the probabilities of each row before calibration, float64 (r, c), as the tool finds
    them: over all draws of the light."""
    return np.array(
        [averaged(*curves.parts(table.features(k)), curves.offsets) for k in range(len(table))]
    )
