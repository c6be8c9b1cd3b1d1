"""Setting things up before the camera: by hand (`bench`) or drawn from a seed (`sample`)."""

from pipelines.studio.staging.bench import bench_lamp, bench_without_plug, lying, under_card
from pipelines.studio.staging.sample import (
    ARRANGEMENTS,
    HELD,
    ROWS,
    sample_empty,
    sample_stage,
)
from pipelines.studio.staging.stage import Placed, Stage, Standpoint, part_of, plug_items

__all__ = [
    "ARRANGEMENTS",
    "HELD",
    "ROWS",
    "Placed",
    "Stage",
    "Standpoint",
    "bench_lamp",
    "bench_without_plug",
    "lying",
    "part_of",
    "plug_items",
    "sample_empty",
    "sample_stage",
    "under_card",
]
