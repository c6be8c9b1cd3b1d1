"""What nets tell of crops as tipvision asks them, and what that is worth."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_softmax

from pipelines.coat.crops import Crops
from pipelines.condition.rows import Table
from tipvision.condition.condition import CONDITIONS
from tipvision.measure.coat import CoatNets
from tipvision.measure.coat_view import coat_view, with_doubt


def looked_at(crops: Crops, nets: CoatNets) -> NDArray[np.float32]:
    """What the nets tell of each crop, float32 (r, TOLD)."""
    views = (
        with_doubt(coat_view(cut, light), doubt)
        for cut, light, doubt in zip(crops.cuts, crops.lights, crops.doubt, strict=True)
    )
    return np.concatenate([nets.told(view[None]) for view in views])


@dataclass(frozen=True)
class Worth:
    """Over rows that have a condition and that the tool would answer: how many, in how many the
    likeliest condition is right, and the mean -ln of what the truth got (nan without rows)."""

    rows: int
    right: int
    loss: float


def worth_of(told: NDArray[np.float32], table: Table) -> Worth:
    """told: float32 (r, TOLD), of the rows of the table."""
    own = np.flatnonzero(np.isin(table.label, CONDITIONS) & table.fit_to_read)
    if not own.size:
        return Worth(0, 0, float("nan"))
    truth = np.array([CONDITIONS.index(label) for label in table.label[own]])
    logs = log_softmax(told[own, : len(CONDITIONS)].astype(np.float64), axis=1)
    right = int((logs.argmax(axis=1) == truth).sum())
    return Worth(len(own), right, float(-logs[np.arange(len(own)), truth].mean()))
