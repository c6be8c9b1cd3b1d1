"""Write a fitted model as a sealed folder of plain numbers."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from pipelines.seal import seal
from tipvision.condition.features import NAMES
from tipvision.condition.model import FORMAT, Model

DECIMALS = 6  # significant digits of what is stored: more says nothing


def write_model(
    out: Path, model: Model, made_by: str, inputs: Sequence[Mapping[str, str]], metrics: Any
) -> None:
    """Parameters, arrays and manifest, sealed. The card is written beside it by hand or by
    `pipelines.condition.card`."""
    out.mkdir(parents=True, exist_ok=True)
    parameters = {
        "format": FORMAT,
        "labels": list(model.labels),
        "features": list(NAMES),
        "findings": list(model.detectors.names),
        "coverage": model.coverage,
        "sharpness": _plain(model.sharpness),
        "least": {label: _plain(value) for label, value in model.least.items()},
        "heat": {name: _plain(value) for name, value in model.heat.items()},
        "farthest": _plain(model.known.farthest),
    }
    (out / "parameters.json").write_text(json.dumps(parameters, indent=1) + "\n", "utf-8")
    curves, known = model.curves, model.known
    arrays = {
        **{name: getattr(curves, name) for name in type(curves).__annotations__},
        "shifts": model.shifts,
        "medians": model.medians,
        "known_usual": known.usual,
        "spread": known.spread,
        "middles": known.middles,
        "precision": known.precision,
        "finding_slopes": model.detectors.slopes,
        "finding_offsets": model.detectors.offsets,
    }
    with (out / "arrays.npz").open("wb") as file:
        np.savez_compressed(
            file,
            **{n: a.astype(np.float32) for n, a in arrays.items()},  # type: ignore[arg-type]
        )
    manifest = {
        "name": model.name,
        "version": model.version,
        "made_by": made_by,
        "inputs": list(inputs),
        "metrics": metrics,
        "files": {},
    }
    (out / "manifest.json").write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")
    seal(out)


def _plain(value: float) -> float:
    return float(f"{value:.{DECIMALS}g}")
