"""What counts as a sign of heat: the marks of it, from where unheated plugs hardly show any."""

from collections.abc import Mapping

import numpy as np

from pipelines.condition.rows import Table
from tipvision.condition.features import ONCE
from tipvision.condition.judge import UNHEATED

SIGNS = ("mark_metal_specks", "mark_pre_ignition", "mark_detonation")
"""What the coat nets see of it. Signs that are measured one by one (specks, lumps, grain of strap
and electrode, yellow tint of metal), each above what nine in ten unheated plugs show, told next to
nothing: one of them stood on 39 of 63 chalk white plugs and on 64 of 119 unheated ones (measured:
`python -m pipelines.condition evaluate` with version 5 of the model, looks tune and report)."""

SHOWN = 0.05
"""Share of unheated plugs that may show one or more of the signs (our estimate)."""


def heat_of(table: Table) -> Mapping[str, float]:
    """For each of `SIGNS` the value above which it is one, at the same quantile of unheated plugs
    for all, so that of these no more than `SHOWN` show any.

    table: rows of photos that the tool would answer. Raises ValueError where none of them shows an
    unheated plug on which the signs can be told.
    """
    cool = table.where(np.isin(table.label, UNHEATED))
    told = cool.once[:, [ONCE.index(name) for name in SIGNS]].astype(np.float64)
    told = told[~np.isnan(told).any(axis=1)]
    if not len(told):
        raise ValueError("These rows show no unheated plug. Measure photos of normal ones as well.")
    ordered = np.sort(told, axis=0)
    ranks = [np.searchsorted(ordered[:, k], told[:, k], "right") for k in range(len(SIGNS))]
    highest = np.sort(np.max(ranks, axis=0))  # of each plug in any sign
    rank = highest[len(told) - 1 - int(SHOWN * len(told))]
    return {name: float(ordered[rank - 1, k]) for k, name in enumerate(SIGNS)}
