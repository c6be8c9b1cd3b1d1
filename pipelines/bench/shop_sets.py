"""What a shop's taught model answers, and whether its sets hold what they state.

`python -m pipelines.bench.shop_sets --rows report.npz`: for simulated shops (`pipelines.bench.
shops`) with 10, 20 and 50 plugs of each condition, the shipped model and the taught one on the
shop's other plugs. Below 20 plugs a taught model keeps the calibration that ships.
"""

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from pipelines.bench.parser import parser_of
from pipelines.bench.shops import SHOPS, Array, dealt, moved, rows_of
from pipelines.condition.rows import read_table
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.model import Model, default_model
from tipvision.teaching.rows import Rows
from tipvision.teaching.teach import judged_by, teach

SIZES = (10, 20, 50)
FIGURES = ("sets hold the truth", "those of the worst condition", "answered", "right of those")


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("shop_sets", __doc__)
    parser.add_argument("--rows", type=Path, nargs="+", required=True, metavar="FILE.npz")
    parser.add_argument("--count", type=int, default=SHOPS, help="shops (%(default)s)")
    options = parser.parse_args(arguments)
    try:
        for line in lines(rows_of(read_table(options.rows)), default_model(), options.count):
            print(line, flush=True)
    except (OSError, ValueError) as error:
        print(f"error: {error}", file=sys.stderr)
        return 1
    return 0


def lines(pool: Rows, default: Model, shops: int) -> Iterator[str]:
    """A line for each size and model: mean over the shops, and the standard deviation of it."""
    yield f"{shops} simulated shops, plugs that taught nothing; mean ± standard deviation of shops"
    for size in SIZES:
        found: dict[str, list[Array]] = {"shipped": [], "taught": []}
        for shop in range(shops):
            rng = np.random.default_rng(1000 + shop)  # the same shops as `shops curve` has
            rows = moved(pool, rng)
            learn, ask = (rows.where(chosen) for chosen in dealt(rows, size, rng))
            taught = teach(learn, default, "bench", "0").model
            found["shipped"].append(figures_of(ask, default))
            found["taught"].append(figures_of(ask, taught))
        for name, shown in found.items():
            table = np.array(shown)
            means, spreads = np.nanmean(table, axis=0), np.nanstd(table, axis=0)
            told = (
                f"{what} {mean:.1%} ± {spread:.1%}"
                for what, mean, spread in zip(FIGURES, means, spreads, strict=True)
            )
            yield f"{size:3d} plugs a condition, {name}: {', '.join(told)}"


def figures_of(rows: Rows, model: Model) -> Array:
    """float64 (4,), shares of photos, or answers, in the order of `FIGURES`; nan of no answers."""
    judged = judged_by(rows, model)
    inside = np.array([t in one.possible for t, one in zip(rows.label, judged, strict=True)])
    answered = np.array([len(one.possible) == 1 and not one.outside for one in judged])
    worst = min(inside[rows.label == name].mean() for name in CONDITIONS)
    right = inside[answered].mean() if answered.any() else np.nan
    return np.array([inside.mean(), worst, answered.mean(), right])


if __name__ == "__main__":
    sys.exit(main())
