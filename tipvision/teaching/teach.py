"""A model for a shop: the default moved by the shop's plugs, calibrated once they are enough."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.condition import CONDITIONS
from tipvision.condition.curves import Array
from tipvision.condition.judge import Judgement, judgement
from tipvision.condition.known import Known
from tipvision.condition.model import Model
from tipvision.teaching.adapting import adapted, aligned, chances_of, lesson_of, parts_of
from tipvision.teaching.calibration import calibrated, sharpened
from tipvision.teaching.checks import TO_PROMOTE, plugs_of, too_few
from tipvision.teaching.conformal import least_probability
from tipvision.teaching.rows import Rows

HALF = 20.0  # plugs of a condition that weigh as much as the default in what is usual of it (our
# estimate)
KNOWN = 0.99  # share of the shop's own photos that must count as known


@dataclass(frozen=True)
class Taught:
    """model: for the shop. pull, moved: as in `Adapted`. held_out: float64 (r, 5),
    probabilities of the conditions, before calibration, on plugs that a fit had not seen.
    unswayed: the same of the default alone, aligned to the shop: no wrong label has taught it.
    own_calibration: whether the shop's plugs were enough for it, or the default's was kept."""

    model: Model
    pull: float
    moved: bool
    held_out: Array
    unswayed: Array
    own_calibration: bool


def teach(rows: Rows, default: Model, name: str, version: str) -> Taught:
    """Fit a model for the shop, beginning from the default.

    Raises ValueError where a condition of the rows has fewer than 2 plugs.
    """
    found = adapted(rows, default.curves, default.medians)
    told = _of_conditions(found.held_out)
    start = aligned(rows, default.curves, default.medians)
    unswayed = _of_conditions(chances_of(lesson_of(rows, start), start))
    enough = min(plugs_of(rows.label.tolist(), rows.plug).values()) >= TO_PROMOTE
    model = replace(
        default,
        name=name,
        version=version,
        curves=found.curves,
        medians=_medians(rows, default),
        known=_known(rows, default),
    )
    if enough:
        model = _calibrated(model, rows, told)
    return Taught(model, found.pull, found.moved, told, unswayed, enough)


def _of_conditions(chances: Array) -> Array:
    told = chances[:, : len(CONDITIONS)]
    return np.asarray(np.maximum(told / told.sum(axis=1, keepdims=True), 1e-12))


def _calibrated(model: Model, rows: Rows, held_out: Array) -> Model:
    """With sharpness, shifts and least probabilities from the shop's held-out plugs.

    The least probabilities keep the default's proportions and move by one factor, by which sets
    hold the truth of `coverage` of all the shop's plugs: the few plugs of one condition would give
    a threshold so careful that most photos stayed open (set on shops simulated from plugs of the
    look *train*).
    """
    truth = np.array([CONDITIONS.index(label) for label in rows.label])
    logs = np.log(held_out)
    calibration = calibrated(logs, truth)
    chances = np.exp(sharpened(logs, calibration))[np.arange(len(truth)), truth]
    usual = np.array([max(model.least[label], 1e-9) for label in CONDITIONS])
    factor = least_probability(chances / usual[truth], rows.plug, model.coverage)
    least = dict(zip(CONDITIONS, np.minimum(factor * usual, 1.0).tolist(), strict=True))
    shifts = model.shifts.copy()
    shifts[: len(CONDITIONS)] = calibration.shifts
    return replace(
        model,
        sharpness=calibration.sharpness,
        shifts=shifts,
        least={**model.least, **least},
    )


def _medians(rows: Rows, default: Model) -> Array:
    """What is usual of each feature: the shop's and the default's, by the number of plugs."""
    values, medians = rows.usual_values(), default.medians.copy()
    for k, label in enumerate(CONDITIONS):
        own = rows.label == label
        if own.any():
            ours = _median(values[own], medians[k])
            share = _share(rows, label)
            medians[k] += share * (ours - medians[k])
    return medians


def _median(values: Array, else_take: Array) -> Array:
    """Median of each column without what is not known; `else_take` where nothing is."""
    filled = np.where(np.isnan(values).all(axis=0), else_take, values)
    return np.asarray(np.nanmedian(filled, axis=0))


def _share(rows: Rows, label: str) -> float:
    plugs = len(np.unique(rows.plug[rows.label == label]))
    return plugs / (plugs + HALF)


def _known(rows: Rows, default: Model) -> Known:
    """The default's region, moved towards the shop's plugs and wide enough for nearly all."""
    known, values = default.known, rows.usual_values()
    filled = np.where(np.isnan(values), known.usual, values)
    scaled = (filled - known.usual) / known.spread
    middles = known.middles.copy()
    for k, label in enumerate(CONDITIONS):
        own = rows.label == label
        if own.any():
            middles[k] += _share(rows, label) * (scaled[own].mean(axis=0) - middles[k])
    moved = replace(known, middles=middles)
    away = np.array([moved.distance(row) for row in values])
    return replace(moved, farthest=max(known.farthest, float(np.quantile(away, KNOWN))))


def judged_by(rows: Rows, model: Model) -> list[Judgement]:
    """What a model says of each row."""
    return [judgement(rows.features(k), model) for k in range(len(rows))]


def cross_judged(rows: Rows, default: Model) -> list[Judgement]:
    """What models say that are taught as `teach` does, each without the plugs it is asked about."""
    told: list[Judgement | None] = [None] * len(rows)
    for learn, hold in parts_of(rows):
        model = teach(rows.where(learn), default, "held out", "0").model
        for k in hold.tolist():
            told[k] = judgement(rows.features(k), model)
    return [one for one in told if one is not None]


def rival_judged(
    rows: Rows, rival: Model, seen: NDArray[np.bool_], default: Model
) -> list[Judgement]:
    """What the model in use says of each row, as of a plug that it had not seen.

    seen: bool (r,), which photos it has learnt from. Of their plugs, models are asked that are
    taught on the other photos that it has learnt from; without that, a shop's model could never be
    followed by one made from more plugs. Where those are too few to teach any, it is asked itself,
    which flatters it.
    """
    told = judged_by(rows, rival)
    learnt = rows.where(seen)
    if len(learnt) == 0 or too_few(learnt.label.tolist(), learnt.plug):
        return told
    for learn, hold in parts_of(learnt):
        model = teach(learnt.where(learn), default, "held out", "0").model
        asked = np.isin(rows.plug, learnt.plug[hold])
        for k in np.flatnonzero(asked).tolist():
            told[k] = judgement(rows.features(k), model)
    return told


def answers_of(judgements: Sequence[Judgement]) -> list[str]:
    """The likeliest condition of each."""
    likely = [[one.probabilities[name] for name in CONDITIONS] for one in judgements]
    return [CONDITIONS[row.index(max(row))] for row in likely]
