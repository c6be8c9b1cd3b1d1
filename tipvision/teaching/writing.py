"""Write a model as a sealed folder of plain numbers, which `condition.model` reads."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from tipvision.condition.features import NAMES
from tipvision.condition.model import FORMAT, Model

DECIMALS = 6  # significant digits of what is stored: more says nothing
UNSEALED = frozenset({"manifest.json", "card.md", "card.html", "doubtful.html"})
"""Files for people, which may be changed."""


def write_model(
    out: Path, model: Model, made_by: str, inputs: Sequence[Mapping[str, str]], metrics: Any
) -> None:
    """Parameters, arrays and manifest, sealed; a card is written beside them."""
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
            **{n: a.astype(np.float32) for n, a in arrays.items()},
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


def seal(folder: Path) -> None:
    """Bring `files` in `manifest.json` up to date with the folder's content."""
    path = folder / "manifest.json"
    manifest = json.loads(path.read_text("utf-8"))
    manifest["files"] = {
        file.name: hashlib.sha256(file.read_bytes()).hexdigest()
        for file in sorted(folder.iterdir())
        if file.name not in UNSEALED
    }
    path.write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")


def _plain(value: float) -> float:
    return float(f"{value:.{DECIMALS}g}")
