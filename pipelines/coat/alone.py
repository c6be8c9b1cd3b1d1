"""What the coat nets tell by themselves, each alone and both together."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from scipy.special import log_softmax

from pipelines.bench.intervals import rate_line
from pipelines.coat.crops import Crops
from pipelines.coat.tell import looked_at
from pipelines.condition.rows import Table
from tipvision.condition.condition import CONDITIONS
from tipvision.measure.coat import FILES, CoatNets


def lines(table: Table, crops: Crops, nets: CoatNets) -> Iterator[str]:
    """For each net and for both, over rows that have a condition and that the tool would answer:
    how often the likeliest condition is right, and the mean -ln of what the truth got."""
    own = np.flatnonzero(np.isin(table.label, CONDITIONS) & table.fit_to_read)
    truth = np.array([CONDITIONS.index(label) for label in table.label[own]])
    told = {
        name: looked_at(crops, replace(nets, nets=(net,)))[own]
        for name, net in zip(FILES, nets.nets, strict=True)
    }
    told["both"] = np.mean(list(told.values()), axis=0)
    for name, numbers in told.items():
        logs = log_softmax(numbers[:, : len(CONDITIONS)].astype(np.float64), axis=1)
        right = int((logs.argmax(axis=1) == truth).sum())
        yield rate_line(f"{name}: likeliest condition right", right, len(truth))
        got = logs[np.arange(len(truth)), truth]
        yield f"{name}: mean -ln of what the truth got: {-got.mean():.3f}"
