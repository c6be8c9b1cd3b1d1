"""`python -m pipelines.condition.same_plug --rows train.npz`: photos of one plug read together.

Every photo is judged by curves that saw no photo of its plug. Calibration, thresholds and the share
of the error that photos of one plug have in common come from one half of the plugs, the figures
from the other half. The photos of a plug are developed from one render: one side of it under one
lamp, with other cameras, exposures and distances. What another side would tell is not in here.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pipelines.bench.intervals import rate_line
from pipelines.condition.fit import COVERAGE, held_out_chances
from pipelines.condition.regression import Settings
from pipelines.condition.rows import Table, read_table
from pipelines.parser import parser_of
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.curves import Array
from tipvision.condition.sets import allowed
from tipvision.condition.together import SHARED, disagree, tempered
from tipvision.teaching.calibration import calibrated, sharpened
from tipvision.teaching.conformal import least_probability

TRIED = (0.0, 0.2, 0.4, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 1.0)
TURNS = 2000  # of the bootstrap over plugs


@dataclass(frozen=True)
class Photos:
    """Photos that are fit to read, of plugs with two of them or more.

    logs: float64 (r, c), ln of their probabilities over `CONDITIONS`. truth: int (r,). plug: int
    (r,), by number.
    """

    logs: Array
    truth: NDArray[np.int64]
    plug: NDArray[np.int64]

    def where(self, chosen: NDArray[np.bool_]) -> "Photos":
        return Photos(self.logs[chosen], self.truth[chosen], self.plug[chosen])

    def plugs(self) -> Iterator[NDArray[np.int64]]:
        """The rows of each plug."""
        for number in np.unique(self.plug):
            yield np.flatnonzero(self.plug == number)


def photos_of(table: Table, settings: Settings) -> Photos:
    """Held-out, not yet calibrated, from the rows of a table that the tool would answer."""
    table = table.where(np.isin(table.label, CONDITIONS))
    logs = held_out_chances(table, CONDITIONS, settings)
    fit = table.fit_to_read
    numbers, counts = np.unique(table.plug[fit], return_counts=True)
    fit &= np.isin(table.plug, numbers[counts >= 2])
    truth = np.array([CONDITIONS.index(label) for label in table.label[fit]])
    return Photos(logs[fit], truth, table.plug[fit])


def halves(photos: Photos) -> tuple[Photos, Photos]:
    """One half of the plugs to choose by, the other to judge by; both calibrated on the first."""
    order = np.random.default_rng(4).permutation(np.unique(photos.plug))
    first = np.isin(photos.plug, order[: len(order) // 2])
    calibration = calibrated(photos.logs[first], photos.truth[first])
    told = replace(photos, logs=sharpened(photos.logs, calibration))
    return told.where(first), told.where(~first)


def pooled_logs(photos: Photos, shared: float) -> tuple[Array, NDArray[np.int64]]:
    """ln of the probabilities (p, c) of each plug from all its photos, and its truth (p,)."""
    logs, truth = [], []
    for rows in photos.plugs():
        own = photos.logs[rows]
        scores = tempered(own - own.mean(axis=1, keepdims=True), shared)
        scores -= scores.max()
        logs.append(scores - np.log(np.exp(scores).sum()))
        truth.append(photos.truth[rows[0]])
    return np.array(logs), np.array(truth)


def loss(logs: Array, truth: NDArray[np.int64]) -> Array:
    """-ln of what the truth got, float64 (p,)."""
    return np.asarray(-logs[np.arange(len(truth)), truth])


def best_shared(photos: Photos) -> tuple[float, tuple[float, ...]]:
    """The one of `TRIED` with the least mean loss over plugs, and all their losses."""
    losses = tuple(float(loss(*pooled_logs(photos, shared)).mean()) for shared in TRIED)
    return TRIED[int(np.argmin(losses))], losses


def lines(photos: Photos, settings_from: Photos, shared: float) -> Iterator[str]:
    """What reading together is worth: one photo of a plug, on average over them, against all."""
    least = {
        label: least_probability(
            np.exp(settings_from.logs[settings_from.truth == k, k]),
            settings_from.plug[settings_from.truth == k],
            COVERAGE,
        )
        for k, label in enumerate(CONDITIONS)
    }
    plugs = list(photos.plugs())
    logs, truth = pooled_logs(photos, shared)
    each = loss(photos.logs, photos.truth)
    alone = np.array([each[rows].mean() for rows in plugs])
    yield f"plugs {len(plugs)}, photos {len(photos.truth)}"
    yield f"mean -ln of what the truth got, one photo: {alone.mean():.3f}"
    yield f"the same, all photos together: {loss(logs, truth).mean():.3f}"
    yield _difference(loss(logs, truth) - alone)
    one = np.array([rows[0] for rows in plugs])
    for title, told in (("one photo", photos.logs[one]), ("all photos", logs)):
        sets = [_set(row, least) for row in told]
        inside = [CONDITIONS[t] in s for t, s in zip(truth, sets, strict=True)]
        single = np.array([len(s) == 1 for s in sets])
        right = told.argmax(axis=1) == truth
        yield f"-- {title} --"
        yield rate_line("likeliest condition right", int(right.sum()), len(right))
        yield rate_line("sets that hold the truth", sum(inside), len(inside))
        yield rate_line("one condition left", int(single.sum()), len(single))
        yield rate_line("right, of those", int(right[single].sum()), int(single.sum()))
    sets = [_set(row, least) for row in photos.logs]
    same = [disagree([sets[k] for k in rows], COVERAGE) for rows in plugs]
    yield "-- photos said to disagree --"
    yield rate_line("of one plug", sum(same), len(same))
    mixed = [
        disagree([sets[a[0]], sets[b[0]]], COVERAGE)
        for a, b in zip(plugs, [*plugs[1:], plugs[0]], strict=True)
        if photos.truth[a[0]] != photos.truth[b[0]]
    ]
    yield rate_line("two photos of two plugs of unlike condition", sum(mixed), len(mixed))


def _set(logs: Array, least: dict[str, float]) -> tuple[str, ...]:
    return allowed(dict(zip(CONDITIONS, np.exp(logs).tolist(), strict=True)), least)


def _difference(gains: Array) -> str:
    rng = np.random.default_rng(5)
    means = rng.choice(gains, (TURNS, len(gains))).mean(axis=1)
    low, high = np.quantile(means, (0.025, 0.975))
    return f"difference: {gains.mean():+.3f} (95 % interval {low:+.3f} to {high:+.3f}, by plugs)"


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("condition.same_plug", __doc__)
    parser.add_argument("--rows", type=Path, nargs="+", required=True, metavar="FILE.npz")
    options = parser.parse_args(arguments)
    try:
        first, second = halves(photos_of(read_table(options.rows), Settings()))
    except (OSError, ValueError) as error:
        print(f"error: {error}", file=sys.stderr)
        return 1
    best, losses = best_shared(first)
    print(f"-- shared error, chosen on {len(list(first.plugs()))} plugs --")
    for tried, found in zip(TRIED, losses, strict=True):
        print(f"  {tried:.2f}: mean -ln of what the truth got {found:.4f}")
    print(f"best {best:.2f}; the tool takes {SHARED:.2f}")
    print("-- worth, on the other plugs --")
    print("\n".join(lines(second, first, SHARED)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
