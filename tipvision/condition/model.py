"""The condition model as it lies on disk: plain numbers, checked before they are used."""

import io
import json
import math
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from tipvision.condition.condition import CONDITIONS, FINDINGS, LABELS
from tipvision.condition.curves import Array, Curves
from tipvision.condition.detectors import Detectors
from tipvision.condition.features import NAMES
from tipvision.condition.known import Known
from tipvision.sealed import ModelFault, sealed
from tipvision.shipped import models_folder

FORMAT = 2
FILES = ("parameters.json", "arrays.npz")
KNOTS = 5
MOST_BYTES = 4_000_000  # of an array file, unpacked: no model has more


@dataclass(frozen=True)
class Model:
    """name, version: go into the record. coverage: what `possible` aims at, 0 to 1.

    labels: what `curves` tells apart, in their order: the conditions, and "none" where it was
    trained. sharpness, shifts: calibration; ln probabilities are multiplied by the one and the
    other, float64 (c,), is added. least: see `sets.allowed`. heat: for each sign of heat the value
    above which it is one. medians: float64 (c, f), what is usual of each feature for each label.
    """

    name: str
    version: str
    coverage: float
    labels: tuple[str, ...]
    curves: Curves
    sharpness: float
    shifts: Array
    least: Mapping[str, float]
    heat: Mapping[str, float]
    medians: Array
    known: Known
    detectors: Detectors


@cache
def default_model() -> Model:
    """The shipped model."""
    return load_model(models_folder() / "condition")


def load_model(folder: Path) -> Model:
    """The model in `folder` (`parameters.json`, `arrays.npz`, `manifest.json`).

    Raises ModelFault when a file is missing, its SHA-256 differs from the manifest's, or its
    content is not a model of format `FORMAT`.
    """
    manifest, contents = sealed(folder, FILES)
    try:
        data = json.loads(contents["parameters.json"])
        if data["format"] != FORMAT:
            raise ValueError(f"format {data['format']}")
        return _model(manifest, data, _arrays(contents["arrays.npz"]))
    except (ValueError, KeyError, TypeError, AttributeError, zipfile.BadZipFile) as error:
        raise ModelFault(
            f"The model in {folder} is not one of format {FORMAT}: {error}. Install it again."
        ) from error


def _model(
    manifest: Mapping[str, Any], data: Mapping[str, Any], held: Mapping[str, Array]
) -> Model:
    labels = tuple(map(str, data["labels"]))
    if labels not in (CONDITIONS, LABELS) or tuple(data["features"]) != NAMES:
        raise ValueError("its labels or features are not those of this version")
    findings = tuple(map(str, data["findings"]))
    if not set(findings) <= set(FINDINGS) or len(set(findings)) < len(findings):
        raise ValueError("its findings are not those of this version")
    f, c, d = len(NAMES), len(labels), len(findings)
    shapes = {
        **{"knots": (f, KNOTS), "usual": (f,), "means": (f, KNOTS - 1), "scales": (f, KNOTS - 1)},
        **{"slopes": (c, f, KNOTS - 1), "offsets": (c,), "shifts": (c,), "medians": (c, f)},
        **{"finding_slopes": (d, f, KNOTS - 1), "finding_offsets": (d,)},
        **{"known_usual": (f,), "spread": (f,), "middles": (c, f), "precision": (f, f)},
    }
    for name, shape in shapes.items():
        if held[name].shape != shape or not np.isfinite(held[name]).all():
            raise ValueError(f"its {name} are not {' by '.join(map(str, shape))} finite numbers")
    if (np.diff(held["knots"]) <= 0).any() or (held["scales"] <= 0).any():
        raise ValueError("its knots do not rise, or a scale is not above zero")
    numbers = {key: float(data[key]) for key in ("coverage", "sharpness", "farthest")}
    least = {label: float(data["least"][label]) for label in labels}
    heat = {str(name): float(value) for name, value in data["heat"].items()}
    if not set(heat) <= set(NAMES):
        raise ValueError("a sign of heat is no feature")
    if not all(map(math.isfinite, (*numbers.values(), *least.values(), *heat.values()))):
        raise ValueError("a number is not finite")
    if min(numbers.values()) <= 0 or (held["spread"] <= 0).any():
        raise ValueError("a number is not above zero")
    curves = Curves(
        *(held[name] for name in ("knots", "usual", "means", "scales", "slopes", "offsets"))
    )
    known = Known(
        usual=held["known_usual"],
        spread=held["spread"],
        middles=held["middles"],
        precision=held["precision"],
        farthest=numbers["farthest"],
    )
    return Model(
        name=str(manifest["name"]),
        version=str(manifest["version"]),
        coverage=numbers["coverage"],
        labels=labels,
        curves=curves,
        sharpness=numbers["sharpness"],
        shifts=held["shifts"],
        least=least,
        heat=heat,
        medians=held["medians"],
        known=known,
        detectors=Detectors(findings, held["finding_slopes"], held["finding_offsets"]),
    )


def _arrays(content: bytes) -> dict[str, Array]:
    """The arrays of an .npz, none of them an object; read only where they are not too large."""
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        if sum(entry.file_size for entry in packed.infolist()) > MOST_BYTES:
            raise ValueError("its arrays are too large")
    with np.load(io.BytesIO(content), allow_pickle=False) as held:
        return {name: np.asarray(held[name], np.float64) for name in held.files}
