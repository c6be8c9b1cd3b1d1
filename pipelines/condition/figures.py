"""What a condition model is worth on rows with truth: rates with intervals, sets, calibration."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.bench.intervals import rate_line
from pipelines.condition.rows import NO_PLUG, Table
from tipvision.condition.condition import CONDITIONS, LABELS
from tipvision.condition.judge import UNHEATED, Judgement, judgement
from tipvision.condition.model import Model
from tipvision.teaching.held_out import BINS, calibration_error
from tipvision.teaching.worth import f1_scores

ORDER = ("wet_black", "dry_black", "normal", "chalk_white")
"""In which kappa weighs how far an answer is off."""

PALE_FROM = (
    75.0  # L* of a normal nose from which it is pale: off-white to light grey (our estimate)
)
WHOLE = 0.99
"""Share of a nose from which one condition covers all of it. On others two meet, and the one that
covers more is the truth, by however little."""

SURE = 0.9
LEAST_GOT = 1e-9  # of a probability, for its logarithm
TURNS = 2000  # of bootstrap and simulation
Labels = Sequence[str] | NDArray[np.str_]
MEASURED = ("chart", "grey_card", "bench_card", "stored")


@dataclass(frozen=True)
class Judged:
    """Rows of a table under the tool's own light, and what a model says of each.

    answered: bool (r,), whether one label is left and nothing speaks against the photo.
    """

    table: Table
    judgements: tuple[Judgement, ...]

    @property
    def fit_to_read(self) -> NDArray[np.bool_]:
        """bool (r,), no gate fired."""
        return self.table.fit_to_read

    @property
    def answered(self) -> NDArray[np.bool_]:
        one = [len(j.possible) == 1 and not j.outside for j in self.judgements]
        return np.asarray(one, bool) & self.fit_to_read

    @property
    def answers(self) -> NDArray[np.str_]:
        return np.array([judged.possible[0] for judged in self.judgements], np.str_)

    @property
    def chances(self) -> NDArray[np.float64]:
        """float64 (r, 6), over `LABELS`."""
        rows = [[judged.probabilities[name] for name in LABELS] for judged in self.judgements]
        return np.array(rows, np.float64).reshape(-1, len(LABELS))

    def where(self, chosen: NDArray[np.bool_]) -> "Judged":
        kept = [judged for judged, keep in zip(self.judgements, chosen, strict=True) if keep]
        return Judged(self.table.where(chosen), tuple(kept))


def judged_rows(table: Table, model: Model) -> Judged:
    """Every row under the tool's own light."""
    own = table.where(table.own)
    return Judged(own, tuple(judgement(own.features(k), model) for k in range(len(own))))


def lines(judged: Judged) -> Iterator[str]:
    """What `evaluate` prints."""
    table = judged.table
    bare = table.label == NO_PLUG
    yield rate_line(
        "taken for a tip, and none: refused", int((~judged.answered[bare]).sum()), int(bare.sum())
    )
    told = judged.where(np.isin(table.label, CONDITIONS))
    lonely = judged.where(table.label == "none")
    wrong = int(lonely.answered.sum())
    yield rate_line(
        "findings alone describe it: not answered", len(lonely.table) - wrong, len(lonely.table)
    )
    known = np.isin(told.table.source, MEASURED)
    for title, chosen in (("light measured", known), ("light guessed", ~known)):
        yield f"-- {title} --"
        yield from _answers(told.where(chosen))
    yield "-- sets and calibration, photos fit to read, any light --"
    yield from _sets(told.where(told.fit_to_read))


def _answers(judged: Judged) -> Iterator[str]:
    table, fit = judged.table, judged.fit_to_read
    if not fit.any():
        yield "no photo is fit to read"
        return
    yield f"noses {len(table)} of {len(np.unique(table.plug))} plugs; fit to read {int(fit.sum())}"
    answered = judged.answered
    yield rate_line("answered, of those fit to read", int(answered.sum()), int(fit.sum()))
    given = judged.where(answered)
    if len(given.table):
        right = given.answers == given.table.label
        yield rate_line("right, of those answered", int(right.sum()), len(right))
        yield _with_interval("macro-F1 on answered", given, macro_f1)
        yield _with_interval("linear-weighted kappa on answered", given, kappa)
    best = judged.where(fit)
    yield from _by_cover(best)
    yield _with_interval("macro-F1 of the likeliest label, answered or not", best, macro_f1)
    yield _with_interval("linear-weighted kappa of the same", best, kappa)
    new = given.table.label == "unused"
    hot = given.answers == "chalk_white"
    yield rate_line(
        "unused called chalk white",
        int((new & hot).sum()),
        int((best.table.label == "unused").sum()),
    )
    pale = _pale(best.table)
    yield rate_line(
        "pale normal called chalk white", int((_pale(given.table) & hot).sum()), int(pale.sum())
    )
    sure = given.chances.max(axis=1, initial=0.0) >= SURE
    false = int((sure & (given.answers != given.table.label)).sum())
    yield rate_line(f"wrong at {SURE:.0%} and more, of those fit to read", false, int(fit.sum()))
    yield from _confusion(best)


def _by_cover(judged: Judged) -> Iterator[str]:
    """Apart for noses that one condition covers and for those on which two meet."""
    whole = judged.table.shares.max(axis=1) > WHOLE
    for what, chosen in (("one condition all over", whole), ("two conditions meet", ~whole)):
        these = judged.where(chosen)
        right, answered = these.answers == these.table.label, these.answered
        yield f"  {what}:"
        yield rate_line("    answered", int(answered.sum()), len(right))
        yield rate_line("    right, of those", int((right & answered).sum()), int(answered.sum()))
        yield rate_line("    likeliest label right", int(right.sum()), len(right))


def _pale(table: Table) -> NDArray[np.bool_]:
    return np.asarray((table.label == "normal") & (table.nose_lab[:, 0] >= PALE_FROM))


def counts_of(truth: Labels, answers: Labels) -> NDArray[np.int64]:
    """int (5, 6), a row for each condition that is true, a column for each of `LABELS` answered."""
    places = {name: k for k, name in enumerate(LABELS)}
    pairs = [len(LABELS) * places[t] + places[a] for t, a in zip(truth, answers, strict=True)]
    shape = (len(CONDITIONS), len(LABELS))
    return np.bincount(np.array(pairs, int), minlength=shape[0] * shape[1]).reshape(shape)


def macro_f1(counts: NDArray[np.int64]) -> float:
    """Mean of `f1_scores` over all five conditions, whether they occur or not."""
    return float(f1_scores(counts.astype(np.float64)).mean())


def kappa(counts: NDArray[np.int64]) -> float:
    """Linear-weighted kappa of those in `ORDER`; NaN where they are all one. Reference library:
    scikit-learn."""
    picked = [CONDITIONS.index(name) for name in ORDER]
    held = counts[np.ix_(picked, picked)].astype(np.float64)
    away = np.abs(np.subtract.outer(range(len(ORDER)), range(len(ORDER))))
    by_chance = np.outer(held.sum(axis=1), held.sum(axis=0)) / max(held.sum(), 1.0)
    expected = float((away * by_chance).sum())
    return float("nan") if expected == 0 else 1.0 - float((away * held).sum()) / expected


def _with_interval(name: str, judged: Judged, figure: Callable[[NDArray[np.int64]], float]) -> str:
    """A figure and its 95 % bootstrap interval over plugs."""
    plugs, owner = np.unique(judged.table.plug, return_inverse=True)
    counts = np.zeros((len(plugs), len(CONDITIONS), len(LABELS)), np.int64)
    for k, truth, answer in zip(owner, judged.table.label, judged.answers, strict=True):
        counts[k] += counts_of([truth], [answer])
    rng = np.random.default_rng(1)
    drawn = rng.multinomial(len(plugs), np.full(len(plugs), 1 / len(plugs)), TURNS)
    found = [figure(one) for one in np.tensordot(drawn, counts, axes=1)]
    value = figure(counts.sum(axis=0))
    if np.isnan(value):
        return f"{name}: all of one kind, none to be had"
    low, high = np.nanquantile(found, (0.025, 0.975))
    return (
        f"{name}: {value:.3f} (95 % interval {low:.3f} to {high:.3f}; n "
        f"{len(owner)} of {len(plugs)} plugs)"
    )


def _confusion(judged: Judged) -> Iterator[str]:
    yield "likeliest label, truth by row: " + ", ".join(LABELS)
    counts = counts_of(judged.table.label, judged.answers)
    for name, row in zip(CONDITIONS, counts, strict=True):
        yield f"  {name:12}" + "".join(f"{count:6d}" for count in row)


def _sets(judged: Judged) -> Iterator[str]:
    truth = judged.table.label
    inside = np.array(
        [label in j.possible for label, j in zip(truth, judged.judgements, strict=True)]
    )
    sizes = np.array([len(j.possible) for j in judged.judgements])
    yield rate_line("sets that hold the truth", int(inside.sum()), len(inside))
    yield f"mean size of sets: {sizes.mean():.2f}"
    for label in CONDITIONS:
        own = truth == label
        if own.any():
            line = rate_line(f"  {label}", int(inside[own].sum()), int(own.sum()))
            yield f"{line}, mean size {sizes[own].mean():.2f}"
    heated = np.array([one.heated for one in judged.judgements])
    for what, own in (("chalk white", ("chalk_white",)), ("normal and unused", UNHEATED)):
        these = heated[np.isin(truth, own)]
        if len(these):
            yield rate_line(f"a sign of heat shows: {what}", int(these.sum()), len(these))
    got = [one.probabilities[label] for one, label in zip(judged.judgements, truth, strict=True)]
    yield f"mean -ln of what the truth got: {-np.log(np.maximum(got, LEAST_GOT)).mean():.3f}"
    outside = sum(judged_one.outside for judged_one in judged.judgements)
    yield rate_line("called unlike any known plug", int(outside), len(truth))
    yield calibration_line(judged.chances, truth)


def calibration_line(chances: NDArray[np.float64], truth: NDArray[np.str_]) -> str:
    """Expected calibration error of the likeliest label, beside what chance makes of it for a model
    whose probabilities are all true."""
    sure = chances.max(axis=1)
    right = np.array(LABELS)[chances.argmax(axis=1)] == truth
    found = calibration_error(sure, right)
    rng = np.random.default_rng(2)
    floor = np.mean([calibration_error(sure, rng.random(len(sure)) < sure) for _ in range(TURNS)])
    return (
        f"expected calibration error, {BINS} bins: {100 * found:.1f} points, by chance alone "
        f"{100 * floor:.1f} (n {len(sure)})"
    )
