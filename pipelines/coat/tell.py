"""Rows whose coat is told by nets that had not seen the plug.

A net is surer of plugs that it learnt from than of others, so a condition model that is fitted on
what the shipped nets tell of them would trust them too much.
"""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pipelines.arrays import read_arrays
from pipelines.coat.crops import matched
from pipelines.coat.look import looked_at
from pipelines.coat.parts import PARTS
from pipelines.condition.rows import write_table
from tipvision.condition.features import ONCE
from tipvision.measure.coat import COAT_SIGNS, FILES, TOLD, CoatNets, load_coat_nets, signs_of


def tell(
    rows: Sequence[Path], crops: Sequence[Path], trained: Path, beside: CoatNets, out: Path
) -> int:
    """Write the rows with held-out answers; returns how many.

    rows, crops: those that the nets were trained on, in the same order. trained: folder of the
    runs. beside: what will look beside the trained net, and did not learn from these rows; the mean
    counts, as in tipvision.
    Raises ValueError when the runs were not made on these rows.
    """
    table, held = matched(rows, crops)
    told = (_held_out(trained, len(table)) + looked_at(held, beside)) / 2
    once = table.once.copy()
    once[:, [ONCE.index(name) for name in COAT_SIGNS]] = signs_of(told)
    write_table(out, replace(table, once=once))
    return len(table)


def newer(model: Path, trained: Path) -> CoatNets:
    """The newer net of a model folder alone, which will look beside the one of `trained`.

    Raises ModelFault when it holds no such nets, ValueError when the newer one is the trained one
    itself: it has learnt from the rows.
    """
    nets = load_coat_nets(model)
    if (model / FILES[-1]).read_bytes() == (trained / "coat.onnx").read_bytes():
        raise ValueError(f"{model} holds the net of {trained} already: tell before you ship.")
    return replace(nets, nets=nets.nets[-1:])


def _held_out(trained: Path, count: int) -> NDArray[np.float32]:
    told = np.full((count, TOLD), np.nan, np.float32)
    for part in range(PARTS):
        held = read_arrays(trained / f"told-{part}.npz", "rows", "told")
        if held["rows"].max(initial=-1) >= count:
            raise ValueError(f"{trained} was trained on more rows than these {count}.")
        told[held["rows"]] = held["told"]
    if np.isnan(told).any():
        raise ValueError(f"{trained} was trained on fewer rows than these {count}.")
    return told
