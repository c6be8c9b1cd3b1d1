"""Which plugs are held out of which run."""

import numpy as np
from numpy.typing import NDArray

from pipelines.condition.rows import Table

SEED = 40_261
PARTS = 5
ALL = PARTS
"""Number of the run that holds nothing out."""


def part_of(table: Table) -> NDArray[np.int64]:
    """The part, 0 to `PARTS` - 1, that each row is held out in; rows of one render share it."""
    renders, which = np.unique(table.render, return_inverse=True)
    order = np.random.default_rng(SEED).permutation(len(renders))
    return np.asarray((order % PARTS)[which], np.int64)
