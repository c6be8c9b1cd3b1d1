"""Rows whose coat is told by nets that had not seen the plug.

A net is surer of plugs that it learnt from than of others, so a condition model that is fitted on
what the shipped net tells of them would trust it too much.
"""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from pipelines.arrays import read_arrays
from pipelines.coat.parts import PARTS
from pipelines.condition.rows import read_table, write_table
from tipvision.condition.features import ONCE
from tipvision.measure.coat import COAT_SIGNS, signs_of


def tell(rows: Sequence[Path], trained: Path, out: Path) -> int:
    """Write the rows with held-out answers; returns how many.

    rows: those that the nets were trained on, in the same order. trained: folder of the runs.
    Raises ValueError when the runs were not made on these rows.
    """
    table = read_table(rows)
    told = np.full((len(table), len(COAT_SIGNS)), np.nan, np.float32)
    for part in range(PARTS):
        held = read_arrays(trained / f"told-{part}.npz", "rows", "told")
        if held["rows"].max(initial=-1) >= len(table):
            raise ValueError(f"{trained} was trained on more rows than these {len(table)}.")
        told[held["rows"]] = signs_of(held["told"])
    if np.isnan(told).any():
        raise ValueError(f"{trained} was trained on fewer rows than these {len(table)}.")
    once = table.once.copy()
    once[:, [ONCE.index(name) for name in COAT_SIGNS]] = told
    write_table(out, replace(table, once=once))
    return len(table)
