"""What teaching is worth to a shop whose camera, lamp and deposits the default never saw.

`python -m pipelines.bench.shops curve --rows report.npz`: for each of so many simulated shops, with
5, 10, 20 and 50 plugs a condition: the default, the model that `tipvision train` makes, and one
fitted on the shop's plugs alone, on the shop's other plugs.
`python -m pipelines.bench.shops labels --rows report.npz`: how many wrong labels the list of
doubtful ones finds.

A shop is drawn from measured plugs of a look, moved as another camera, lamp and palette would move
them: all its noses by one colour, each condition by another, every other feature by a part of its
own spread. How far is our estimate.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pipelines.bench.parser import parser_of
from pipelines.condition.regression import Settings, fit_curves
from pipelines.condition.rows import Table, read_table
from tipvision.colour.difference import ciede2000
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.curves import Curves, averaged
from tipvision.condition.features import ONCE, SEEN, UNDER_LIGHT
from tipvision.condition.model import Model, default_model, load_model
from tipvision.measure.bands import load_bands
from tipvision.teaching.adapting import adapted, chances_of, lesson_of, parts_of
from tipvision.teaching.doubtful import LISTED, opinion_of, ranking
from tipvision.teaching.rows import Rows
from tipvision.teaching.teach import teach
from tipvision.teaching.worth import macro_f1

SIZES = (5, 10, 20, 50)
SHOPS = 20
LAMP = (4.0, 2.0, 3.0)  # standard deviation of what moves all noses of a shop: L*, a*, b*
PALETTE = (5.0, 1.5, 3.0)  # the same of what moves the noses of one condition
SURFACE = ("shine", "specks", "texture", "evenness")  # what a palette moves beside the colour
DEPOSIT = 0.3  # of such a feature's spread, for one condition
CAMERA = 0.4  # of any feature's spread, for all plugs of a shop: twice what parts the looks *train*
# and *tune* on average
STRENGTHS = (2.0, 5.0, 10.0, 20.0, 50.0, 100.0)  # of the pull towards 0 that are tried from scratch
TURNS = 4000
FLIPPED = 0.10
MOST_PHOTOS = 600
Array = NDArray[np.float64]


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("shops", __doc__)
    parser.add_argument("what", choices=("curve", "labels"))
    parser.add_argument("--rows", type=Path, nargs="+", required=True, metavar="FILE.npz")
    parser.add_argument("--model", type=Path, metavar="DIR", help="else the one that ships")
    parser.add_argument("--count", type=int, default=SHOPS, help="shops, or seeds (%(default)s)")
    options = parser.parse_args(arguments)
    model = default_model() if options.model is None else load_model(options.model)
    try:
        pool = rows_of(read_table(options.rows))
        lines = curve if options.what == "curve" else labels
        for line in lines(pool, model, options.count):
            print(line, flush=True)
    except (OSError, ValueError) as error:
        print(f"error: {error}", file=sys.stderr)
        return 1
    return 0


def rows_of(table: Table) -> Rows:
    """The rows of a table that a shop would teach from: answered but for what a model says."""
    told = table.where(table.fit_to_read & np.isin(table.label, CONDITIONS))
    return Rows(
        photo=told.photo,
        plug=told.plug,
        label=told.label,
        under_light=told.under_light,
        once=told.once,
        lab=told.under_light[..., :3].astype(np.float64).mean(axis=1),
    )


def moved(rows: Rows, rng: np.random.Generator) -> Rows:
    """The rows as a shop with another camera, lamp and palette would measure them."""
    label = np.array([CONDITIONS.index(name) for name in rows.label])
    palette = rng.standard_normal((len(CONDITIONS), 3))[label] * PALETTE
    lamp = rng.standard_normal(3) * LAMP
    under_light = rows.under_light.astype(np.float64)
    before = under_light[..., :3]
    lab = before + (lamp + palette)[:, None]
    lab[..., 0] = np.clip(lab[..., 0], 0.0, 100.0)
    means = np.stack([band.mean for band in load_bands()])
    first = UNDER_LIGHT.index("to_normal")
    under_light[..., first : first + len(means)] = ciede2000(lab[:, :, None], means)
    under_light[..., 3:5] = lab[..., 1:] / (lab[..., :1] + 16.0)
    level = before[..., 0].mean(axis=1)
    brighter = np.log(_luminance(level + palette[:, 0]) / _luminance(level))
    under_light[..., :3] = lab
    return replace(
        rows,
        under_light=under_light.astype(np.float32),
        once=_moved_once(rows.once.astype(np.float64), label, brighter, rng),
        lab=lab.mean(axis=1),
    )


def _moved_once(
    once: Array, label: NDArray[np.int64], brighter: Array, rng: np.random.Generator
) -> NDArray[np.float32]:
    """What the light does not move: by the camera for all plugs, by the palette for a condition.

    brighter: float64 (r,), ln of how much brighter the palette makes each nose.
    """
    spread = np.nan_to_num(np.nanstd(once, axis=0))
    spread[[ONCE.index(name) for name in SEEN]] = 0.0
    once = once + spread * CAMERA * rng.standard_normal(once.shape[1])
    surface = [ONCE.index(name) for name in SURFACE]
    moves = rng.standard_normal((len(CONDITIONS), len(surface)))[label]
    once[:, surface] += DEPOSIT * spread[surface] * moves
    once[:, [k for k, name in enumerate(ONCE) if name.startswith("nose_to_")]] += brighter[:, None]
    return once.astype(np.float32)


def _luminance(lightness: Array) -> Array:
    """Relative luminance of L*, with a floor under black."""
    return np.maximum((np.clip(lightness, 0.0, 100.0) + 16.0) / 116.0, 0.2) ** 3


def curve(pool: Rows, default: Model, shops: int) -> Iterator[str]:
    """Macro-F1 of the likeliest condition by the number of plugs, each shop against itself."""
    found = {size: np.array(list(_shops(pool, default, shops, size))) for size in SIZES}
    yield f"{shops} simulated shops; macro-F1 on the shop's plugs that taught nothing"
    yield "plugs | default | adapted | from scratch | adapted less default, less from scratch"
    for size, scores in found.items():
        means = " | ".join(f"{mean:.3f}" for mean in scores[:, :3].mean(axis=0))
        pulls = np.median(scores[:, 3])
        against = ", ".join(interval_of(scores[:, 1] - scores[:, other]) for other in (0, 2))
        yield f"{size:3d} | {means} | {against} | median pull {pulls:g}"


def _shops(
    pool: Rows, default: Model, shops: int, size: int
) -> Iterator[tuple[float, float, float, float]]:
    for shop in range(shops):
        rng = np.random.default_rng(1000 + shop)  # the same shop at every size
        rows = moved(pool, rng)
        taught, asked = dealt(rows, size, rng)
        learn, ask = rows.where(taught), rows.where(asked)
        found = adapted(learn, default.curves, default.medians)
        all_three = (default.curves, found.curves, from_scratch(learn))
        scores = [score(ask, curves) for curves in all_three]
        yield scores[0], scores[1], scores[2], found.pull


def from_scratch(rows: Rows) -> Curves:
    """Curves from the shop's plugs alone, as strongly pulled towards 0 as held-out plugs say."""
    losses = np.zeros(len(STRENGTHS))
    for learn, hold in parts_of(rows):
        part, asked = rows.where(learn), rows.where(hold)
        for k, strength in enumerate(STRENGTHS):
            curves = fit_curves(part, part.label, CONDITIONS, Settings(strength=strength))
            chances = chances_of(lesson_of(asked, curves), curves)
            truth = [CONDITIONS.index(label) for label in asked.label]
            losses[k] -= np.log(np.maximum(chances[np.arange(len(truth)), truth], 1e-12)).sum()
    best = Settings(strength=STRENGTHS[int(losses.argmin())])
    return fit_curves(rows, rows.label, CONDITIONS, best)


def dealt(
    rows: Rows, size: int, rng: np.random.Generator
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which rows teach, `size` plugs of each condition, and which are asked, all other plugs.

    Raises ValueError where a condition has too few plugs for both.
    """
    teaching = []
    for label in CONDITIONS:
        plugs = rng.permutation(np.unique(rows.plug[rows.label == label]))
        if len(plugs) < max(SIZES) + 10:
            raise ValueError(f"{label}: {len(plugs)} plugs; {max(SIZES) + 10} are needed")
        teaching.append(plugs[:size])
        never = plugs[size : max(SIZES)]  # asked at no size, so that all sizes are asked the same
        rows = replace(rows, plug=np.where(np.isin(rows.plug, never), -1, rows.plug))
    taught = np.isin(rows.plug, np.concatenate(teaching))
    return taught, ~taught & (rows.plug >= 0)


def score(rows: Rows, curves: Curves) -> float:
    """Macro-F1 of the likeliest condition, a plug's photos sharing its weight."""
    _, owner, photos = np.unique(rows.plug, return_inverse=True, return_counts=True)
    counts = np.zeros((len(CONDITIONS), len(CONDITIONS)))
    for k in range(len(rows)):
        logs = averaged(*curves.parts(rows.features(k)), curves.offsets)
        answer = int(logs[: len(CONDITIONS)].argmax())
        counts[CONDITIONS.index(str(rows.label[k])), answer] += 1.0 / photos[owner[k]]
    return float(macro_f1(counts))


def interval_of(differences: Array) -> str:
    """Mean over the shops and its 95 % bootstrap interval."""
    rng = np.random.default_rng(1)
    drawn = rng.choice(differences, (TURNS, len(differences))).mean(axis=1)
    low, high = np.quantile(drawn, (0.025, 0.975))
    return f"{differences.mean():+.3f} (95 % interval {low:+.3f} to {high:+.3f})"


def labels(pool: Rows, default: Model, seeds: int) -> Iterator[str]:
    """Wrong labels found in the first part of the list of doubtful ones. A plug is labelled wrongly
    in all its photos: that is how a folder gets it wrong."""
    shares, photos = [], []
    for seed in range(seeds):
        rng = np.random.default_rng(2000 + seed)
        rows = moved(pool, rng)
        plugs = rng.permutation(np.unique(rows.plug))
        upto = np.cumsum([(rows.plug == plug).sum() for plug in plugs]) <= MOST_PHOTOS
        rows = rows.where(np.isin(rows.plug, plugs[upto]))
        turned = plugs[upto][: round(FLIPPED * upto.sum())]
        wrong, label = np.isin(rows.plug, turned), rows.label.copy()
        for plug in turned:
            own = rows.plug == plug
            others = [name for name in CONDITIONS if name != rows.label[own][0]]
            label[own] = rng.choice(others)
        noisy = replace(rows, label=label)
        first = ranking(noisy, opinion_of(teach(noisy, default, "bench", "0")))[
            : int(np.ceil(LISTED * len(rows)))
        ]
        shares.append(wrong[first].sum() / wrong.sum())
        photos.append(len(rows))
    yield (
        f"{FLIPPED:.0%} of the plugs labelled wrongly, {min(photos)} to {max(photos)} photos, "
        f"{seeds} seeds: in the first {LISTED:.0%} of the list, the share of the "
        f"photos with wrong labels is {interval_of(np.array(shares)).replace('+', '')}"
    )


if __name__ == "__main__":
    sys.exit(main())
