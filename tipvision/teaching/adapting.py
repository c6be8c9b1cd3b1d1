"""Move the curves of a model towards what a shop's plugs look like, no further than they prove.

The slopes are pulled towards those of the model that they start from, as ridge regression pulls
towards 0: with few plugs they stay near it, with many the plugs decide. Source of the method: ridge
regression with a prior mean, common practice, no published source. How strong the pull is, plugs
that are held out decide, the more of them the more freely.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from sklearn.model_selection import StratifiedGroupKFold
from threadpoolctl import threadpool_limits

from tipvision.condition.condition import CONDITIONS
from tipvision.condition.curves import Array, Curves
from tipvision.condition.features import NAMES, SEEN
from tipvision.teaching.rows import Rows

DRAWS = 4  # draws of the light that are fitted on, of 64
PULLS = (300.0, 100.0, 30.0, 10.0, 3.0, 1.0)  # strongest first
USUAL_PULL = 1000.0  # over the plugs of the rarest condition, the pull that is expected before any
# plug is asked: without it, few plugs pick one by luck (set on shops simulated from plugs of the
# look *train*)
DOUBT = 5.0  # plugs of a condition that weigh as much as the default in where its features lie (our
# estimate)
OFFSET_PULL = 1.0  # of the offsets, in plugs: what the shop has more of is soon learnt
FOLDS = 5
FINE_FOLDS = (
    10  # for what calibrates and doubts labels: fits that lack few plugs are nearest to the
)
# whole, and find more wrong labels
SEED = 1


@dataclass(frozen=True)
class Lesson:
    """Rows made ready for a fit.

    columns: float64 (r, d, p), standardised columns under d draws of the light, only the p of them
    that the curves use, and `used` says which: bool (f, k - 1). truth: int (r,), index of the
    label. weights: float64 (r,): photos of one plug share its weight, conditions weigh the same.
    """

    columns: Array
    used: NDArray[np.bool_]
    truth: NDArray[np.int64]
    weights: Array


def lesson_of(rows: Rows, curves: Curves) -> Lesson:
    """The rows under the knots and scales of the curves."""
    values = rows.values(DRAWS)
    used = np.asarray((curves.slopes != 0).any(axis=0))
    columns = curves.standard(values.reshape(-1, values.shape[2]))[:, used]
    truth = np.array([CONDITIONS.index(label) for label in rows.label], np.int64)
    return Lesson(columns.reshape(*values.shape[:2], -1), used, truth, weights_of(rows.plug, truth))


def weights_of(plug: NDArray[np.int64], truth: NDArray[np.int64]) -> Array:
    """A weight for each photo, float64 (r,); they sum to the number of plugs."""
    _, owner, photos = np.unique(plug, return_inverse=True, return_counts=True)
    shares = 1.0 / photos[owner]
    totals = np.bincount(truth, weights=shares)
    present = np.count_nonzero(totals)
    return np.asarray(shares * shares.sum() / present / totals[truth])


def fitted(lesson: Lesson, curves: Curves, start: Curves, pull: float) -> Curves:
    """Curves for the lesson, pulled towards `curves`; `start` is where the search begins.

    What is made small is the weighted -ln of the truth's probability, as a mean over the draws of
    the light, and half the pull times the squared way of the slopes: one minimum, wherever the
    search begins.
    """
    labels, width = len(curves.offsets), lesson.columns.shape[2]
    home = np.concatenate([curves.slopes[:, lesson.used].ravel(), curves.offsets])
    pulls = np.append(np.full(labels * width, pull), np.full(labels, OFFSET_PULL))
    begin = np.concatenate([start.slopes[:, lesson.used].ravel(), start.offsets])

    def cost(flat: Array) -> tuple[float, Array]:
        loss, slopes, offsets = _loss(lesson, flat[:-labels].reshape(labels, width), flat[-labels:])
        way = flat - home
        gradient = np.concatenate([slopes.ravel(), offsets]) + pulls * way
        return loss + 0.5 * float((pulls * way**2).sum()), gradient

    found = minimize(
        cost, begin, jac=True, method="L-BFGS-B", options={"maxiter": 200, "ftol": 1e-6}
    ).x
    slopes = curves.slopes.copy()
    slopes[:, lesson.used] = found[:-labels].reshape(labels, width)
    return replace(curves, slopes=slopes, offsets=found[-labels:])


def _loss(lesson: Lesson, slopes: Array, offsets: Array) -> tuple[float, Array, Array]:
    """-ln likelihood, and its gradient on slopes and offsets."""
    chances = _chances(lesson.columns, slopes, offsets)
    rows = np.arange(len(lesson.truth))
    right = np.maximum(chances[rows, :, lesson.truth], 1e-300)
    loss = -float(lesson.weights @ np.log(right).mean(axis=1))
    chances[rows, :, lesson.truth] -= 1.0
    flat = (chances * (lesson.weights / right.shape[1])[:, None, None]).reshape(-1, len(offsets))
    columns = lesson.columns.reshape(len(flat), -1)
    return loss, flat.T @ columns, flat.sum(axis=0)


def _chances(columns: Array, slopes: Array, offsets: Array) -> Array:
    scores = columns @ slopes.T + offsets
    scores -= scores.max(axis=2, keepdims=True)
    np.exp(scores, out=scores)
    scores /= scores.sum(axis=2, keepdims=True)
    return np.asarray(scores)


def chances_of(lesson: Lesson, curves: Curves) -> Array:
    """Probabilities of the labels of each row, float64 (r, c), before calibration."""
    slopes = curves.slopes[:, lesson.used]
    return np.asarray(_chances(lesson.columns, slopes, curves.offsets).mean(axis=1))


def parts_of(
    rows: Rows, count: int = FOLDS
) -> Iterator[tuple[NDArray[np.int64], NDArray[np.int64]]]:
    """Rows to learn from and rows held out, by turns; no plug is in both, conditions are spread."""
    plugs = [len(np.unique(rows.plug[rows.label == label])) for label in np.unique(rows.label)]
    folds = StratifiedGroupKFold(min(count, *plugs), shuffle=True, random_state=SEED)
    yield from folds.split(rows.once, rows.label, rows.plug)


def aligned(rows: Rows, curves: Curves, medians: Array) -> Curves:
    """The curves for features that all lie elsewhere, as another camera or lamp moves them.

    The way of each feature is the mean over the conditions of what parts the shop's median from
    the default's, shortened where plugs are few; the knots go it, which is as if every value came
    back. What says only whether a part is seen stays.

    medians: float64 (c, f), the default's, conditions first.
    """
    values, ways, plugs = rows.usual_values(), [], []
    for k, label in enumerate(CONDITIONS):
        own = rows.label == label
        if own.any():
            shop = np.where(np.isnan(values[own]).all(axis=0), medians[k], values[own])
            ways.append(np.nanmedian(shop, axis=0) - medians[k])
            plugs.append(len(np.unique(rows.plug[own])))
    fewest = min(plugs)
    way = np.mean(ways, axis=0) * fewest / (fewest + DOUBT)
    way[[NAMES.index(name) for name in SEEN]] = 0.0
    return replace(curves, knots=curves.knots + way[:, None], usual=curves.usual + way)


@dataclass(frozen=True)
class Adapted:
    """curves: fitted on all rows. pull: that was chosen. moved: whether the features were aligned.
    held_out: float64 (r, c), probabilities before calibration from fits that did not see the row's
    plug."""

    curves: Curves
    pull: float
    moved: bool
    held_out: Array


def adapted(rows: Rows, curves: Curves, medians: Array) -> Adapted:
    """The curves moved in the way, and by the pull, under which held-out plugs come out likeliest.

    medians: as in `aligned`. Raises ValueError where a condition has fewer than 2 plugs.
    """
    with threadpool_limits(1):  # quicker for so small arrays, and the same sums every time
        moved, pull = _best_way(rows, curves, medians)
        start = _start(rows, curves, medians, moved)
        found = fitted(lesson_of(rows, start), start, start, pull)
        held_out = np.zeros((len(rows), len(curves.offsets)))
        for learn, hold in parts_of(rows, FINE_FOLDS):
            part = rows.where(learn)
            start = _start(part, curves, medians, moved)
            told = fitted(lesson_of(part, start), start, found, pull)
            held_out[hold] = chances_of(lesson_of(rows.where(hold), start), told)
    return Adapted(found, pull, moved, held_out)


def _best_way(rows: Rows, curves: Curves, medians: Array) -> tuple[bool, float]:
    """Whether the features are moved first, and how strong the pull is."""
    losses = {(moved, pull): 0.0 for moved in (False, True) for pull in PULLS}
    for moved in (False, True):
        held_out = np.zeros((len(PULLS), len(rows), len(curves.offsets)))
        for learn, hold in parts_of(rows):
            part, asked = rows.where(learn), rows.where(hold)
            now = start = _start(part, curves, medians, moved)
            lesson, question = lesson_of(part, start), lesson_of(asked, start)
            for k, pull in enumerate(PULLS):
                now = fitted(lesson, start, now, pull)
                held_out[k, hold] = chances_of(question, now)
        whole = lesson_of(rows, curves)
        for pull, chances in zip(PULLS, held_out, strict=True):
            losses[moved, pull] = _sharpest_loss(chances, whole) + _unusual(pull, rows)
    return min(losses, key=lambda way: losses[way])


def _unusual(pull: float, rows: Rows) -> float:
    """-ln of how likely the pull is for so many plugs, up to a constant: a normal law of its ln."""
    fewest = min(len(np.unique(rows.plug[rows.label == label])) for label in np.unique(rows.label))
    return 0.5 * float(np.log(pull * fewest / USUAL_PULL)) ** 2


def _start(rows: Rows, curves: Curves, medians: Array, moved: bool) -> Curves:
    return aligned(rows, curves, medians) if moved else curves


def _sharpest_loss(chances: Array, lesson: Lesson) -> float:
    """-ln likelihood under the best of some sharpnesses: calibration mends that afterwards."""
    logs = np.log(np.maximum(chances, 1e-12))
    rows = np.arange(len(lesson.truth))
    return min(
        float(
            lesson.weights @ (np.log(np.exp(s * logs).sum(axis=1)) - s * logs[rows, lesson.truth])
        )
        for s in np.geomspace(0.3, 3.0, 11)
    )
