"""What the coat nets tell by themselves, each alone and both together."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from pipelines.bench.intervals import rate_line
from pipelines.coat.crops import Crops
from pipelines.coat.look import looked_at, worth_of
from pipelines.condition.rows import Table
from tipvision.measure.coat import FILES, CoatNets


def lines(table: Table, crops: Crops, nets: CoatNets) -> Iterator[str]:
    """For each net and for both, what they are worth by themselves."""
    told = {
        name: looked_at(crops, replace(nets, nets=(net,)))
        for name, net in zip(FILES, nets.nets, strict=True)
    }
    told["both"] = np.mean(list(told.values()), axis=0)
    for name, numbers in told.items():
        worth = worth_of(numbers, table)
        yield rate_line(f"{name}: likeliest condition right", worth.right, worth.rows)
        yield f"{name}: mean -ln of what the truth got: {worth.loss:.3f}"
