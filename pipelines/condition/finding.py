"""Fit the detectors of findings, and keep only those that are worth something."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import StratifiedGroupKFold
from threadpoolctl import threadpool_limits

from pipelines.bench.intervals import rate_line, wilson
from pipelines.condition.rows import Table
from tipvision.condition.condition import FINDINGS
from tipvision.condition.curves import Array, Curves
from tipvision.condition.detectors import Detectors

FOLDS = 5
STRENGTH = 100.0  # of the pull of the slopes towards 0 (set on train, held out)
FEWEST_PLUGS = 60  # that show a finding, from which it is tried (our estimate)
LEAST_PRECISION = 0.5  # lower end of the 95 % interval, held out, of what is told at 0.5 and more
LEAST_RECALL = 0.1


@dataclass(frozen=True)
class Tried:
    """One finding: how many noses show it, how many were told at 0.5 and more, and rightly so."""

    name: str
    shown: int
    told: int
    right: int

    @property
    def kept(self) -> bool:
        """Whether it is precise enough, and told of enough of those that show it."""
        precise = wilson(self.right, self.told)[0] >= LEAST_PRECISION
        return self.told > 0 and precise and self.right >= LEAST_RECALL * self.shown

    def line(self) -> str:
        """What is printed of it."""
        kept = "kept" if self.kept else "left null"
        found = rate_line("found", self.right, self.shown)
        return f"  {self.name}: {kept}; {rate_line('right', self.right, self.told)}; {found}"


def fit_detectors(
    table: Table, values: Array, curves: Curves
) -> tuple[Detectors, tuple[Tried, ...]]:
    """Detectors of the findings that are kept, and how each that was tried did.

    values: float64 (r, f), one value of each feature for each row of the table. Held-out scores,
    by render, calibrate each and decide whether it is kept; only photos that no gate stops count.
    """
    told = np.flatnonzero((curves.slopes != 0).any(axis=0).ravel())
    design = curves.standard(values).reshape(len(table), -1)[:, told]
    answered = table.fit_to_read
    kept, tried = [], []
    for k, name in enumerate(FINDINGS):
        shown = table.findings[:, k]
        if len(np.unique(table.plug[shown])) < FEWEST_PLUGS:
            continue
        with threadpool_limits(1):
            slopes, offset, held_out = _fit(design, shown, table.render, table.label, answered)
        right = held_out[answered] >= 0
        hits = int((right & shown[answered]).sum())
        tried.append(Tried(name, int(shown[answered].sum()), int(right.sum()), hits))
        if tried[-1].kept:
            whole = np.zeros(curves.slopes[0].size)
            whole[told] = slopes
            kept.append((name, whole.reshape(curves.slopes[0].shape), offset))
    detectors = Detectors(
        tuple(name for name, _, _ in kept),
        np.array([s for _, s, _ in kept]).reshape(-1, *curves.slopes[0].shape),
        np.array([offset for _, _, offset in kept]),
    )
    return detectors, tuple(tried)


def _fit(
    design: Array,
    shown: NDArray[np.bool_],
    render: NDArray[np.int64],
    label: NDArray[np.str_],
    answered: NDArray[np.bool_],
) -> tuple[Array, float, Array]:
    """Calibrated slopes and offset, and the calibrated held-out scores as ln odds."""
    model = LogisticRegression(C=1 / STRENGTH, max_iter=200, tol=1e-3)
    scores = np.zeros(len(shown))
    both = np.char.add(label, np.where(shown, "+", "-"))
    folds = StratifiedGroupKFold(FOLDS, shuffle=True, random_state=1)
    for learn, hold in folds.split(design, both, render):
        scores[hold] = model.fit(design[learn], shown[learn]).decision_function(design[hold])
    platt = LogisticRegression(C=1e3).fit(scores[answered, None], shown[answered])
    steep, shift = max(float(platt.coef_[0, 0]), 0.0), float(platt.intercept_[0])
    model.fit(design, shown)
    slopes = steep * model.coef_[0]
    return slopes, steep * float(model.intercept_[0]) + shift, steep * scores + shift
