"""Labels that the plugs themselves speak against, most doubtful first."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.condition import CONDITIONS
from tipvision.teaching.rows import Rows
from tipvision.teaching.teach import Taught

LISTED = 0.15  # share of the photos that is shown at most
UNSWAYED = 0.3  # weight of the default's opinion (set on plugs of the look *train*)


@dataclass(frozen=True)
class Doubt:
    """A photo whose label may be wrong: how probable the label and another one are to its plug's
    photos together, from fits that had not seen the plug. doubt: ln of the other over the label."""

    photo: str
    label: str
    label_likely: float
    other: str
    other_likely: float
    doubt: float


def opinion_of(taught: Taught) -> NDArray[np.float64]:
    """ln of what is held of each photo, float64 (r, 5): of the fits that had not seen its plug, and
    with less weight of the default, which no wrong label of the shop's has taught."""
    return np.asarray(np.log(taught.held_out) + UNSWAYED * np.log(taught.unswayed))


def doubts(rows: Rows, opinion: NDArray[np.float64]) -> tuple[Doubt, ...]:
    """The photos whose label is less likely than another condition, at most `LISTED` of all.

    opinion: float64 (r, 5), ln probabilities of the conditions, as `opinion_of` gives them.
    """
    logs = _of_plugs(rows.plug, opinion)
    against, other = _against(rows.label, logs)
    chances = np.exp(logs)
    chances /= chances.sum(axis=1, keepdims=True)
    most = int(np.ceil(LISTED * len(rows)))
    return tuple(
        Doubt(
            photo=str(rows.photo[k]),
            label=(label := str(rows.label[k])),
            label_likely=float(chances[k, CONDITIONS.index(label)]),
            other=CONDITIONS[other[k]],
            other_likely=float(chances[k, other[k]]),
            doubt=float(against[k]),
        )
        for k in ranking(rows, opinion)[:most].tolist()
        if against[k] > 0
    )


def ranking(rows: Rows, opinion: NDArray[np.float64]) -> NDArray[np.int64]:
    """Numbers of the rows, int (r,), the most doubtful label first."""
    return np.argsort(-_against(rows.label, _of_plugs(rows.plug, opinion))[0], kind="stable")


def _of_plugs(plug: NDArray[np.int64], opinion: NDArray[np.float64]) -> NDArray[np.float64]:
    """ln of the probabilities that a plug's photos give together, float64 (r, 5), up to a constant.

    Photos of one plug are only half a proof of their own: their sum is divided by the root of their
    number (our estimate; it found more wrong labels than sum or mean).
    """
    _, owner, photos = np.unique(plug, return_inverse=True, return_counts=True)
    sums = np.zeros((len(photos), opinion.shape[1]))
    np.add.at(sums, owner, opinion)
    return np.asarray((sums / np.sqrt(photos)[:, None])[owner])


def _against(
    label: NDArray[np.str_], logs: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """ln of the likeliest other condition over the label, and which condition that is."""
    rows, own = np.arange(len(label)), np.array([CONDITIONS.index(name) for name in label])
    others = logs.copy()
    others[rows, own] = -np.inf
    best = others.argmax(axis=1)
    return others[rows, best] - logs[rows, own], best
