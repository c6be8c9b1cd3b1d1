"""Stored lights on disk: JSON files in the shop's own folder, checked before they are used."""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from tipvision import __version__
from tipvision.files import write_whole
from tipvision.home import home
from tipvision.light.correction import Correction
from tipvision.light.draws import DRAWS
from tipvision.light.stored import Conditions, StoredLight
from tipvision.one_line import one_line

FORMAT = 1
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
_START = "light-"  # keeps clear of names that some systems reserve


class StoreError(Exception):
    """A stored light cannot be kept, found or used; one line says which, why and what to do."""


def lights_folder() -> Path:
    """Where stored lights lie."""
    return home() / "lights"


def checked_name(name: str) -> str:
    """The name, if files on every system can bear it; StoreError otherwise."""
    if not _NAME.fullmatch(name):
        raise StoreError(
            f'"{name}" cannot name a light: use up to 40 letters without accents, digits, - and _.'
        )
    return name


def keep(light: StoredLight, origin: Mapping[str, str], folder: Path | None = None) -> Path:
    """Write a light, whole or not at all, in place of one of that name; returns the file.

    origin: what it was made from: base name and SHA-256 of the photo, edition of the chart.
    Raises StoreError for a bad name, OSError where the folder takes no file.
    """
    folder = folder or lights_folder()
    path = folder / f"{_START}{checked_name(light.name).casefold()}.json"
    body = {
        "format": FORMAT,
        "made_with": f"tipvision {__version__}",
        "origin": dict(origin),
        "name": light.name,
        "verdict": light.verdict,
        "residual": light.residual,
        "taken_with": {**asdict(light.taken_with), "cast": light.taken_with.cast.tolist()},
        "correction": _plain(light.correction),
        "samples": _plain(light.samples),
    }
    folder.mkdir(parents=True, exist_ok=True)
    write_whole(path, json.dumps({"sha256": _digest(body), "light": body}, indent=1).encode())
    return path


def stored_names(folder: Path | None = None) -> tuple[str, ...]:
    """Names of all stored lights, in order; of a damaged one the name that its file bears."""
    folder = folder or lights_folder()
    return tuple(path.stem.removeprefix(_START) for path in sorted(folder.glob(f"{_START}*.json")))


def load(name: str, folder: Path | None = None) -> StoredLight:
    """The stored light of that name, upper or lower case.

    Raises StoreError when there is none, or it was changed, or is not of this format.
    """
    path = _path_of(name, folder)
    try:
        outer = json.loads(path.read_bytes())
        body, digest = outer["light"], outer["sha256"]
        if _digest(body) != digest:
            raise StoreError(
                f'The stored light "{name}" was changed after it was kept. Keep it again.'
            )
        if body["format"] != FORMAT:
            raise ValueError(f"it has format {body['format']}")
        return _light(body)
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise StoreError(
            f'The stored light "{name}" cannot be read: {one_line(error)}. Keep it again.'
        ) from error


def origin_of(name: str, folder: Path | None = None) -> dict[str, str]:
    """What a light, which `load` accepts, was made from."""
    origin = json.loads(_path_of(name, folder).read_bytes())["light"]["origin"]
    return {str(key): str(value) for key, value in origin.items()}


def drop(name: str, folder: Path | None = None) -> Path:
    """Delete a stored light, damaged or not; StoreError when there is none of that name."""
    path = _path_of(name, folder)
    path.unlink()
    return path


def _path_of(name: str, folder: Path | None) -> Path:
    folder = folder or lights_folder()
    path = folder / f"{_START}{checked_name(name).casefold()}.json"
    if not path.is_file():
        known = ", ".join(stored_names(folder))
        hint = f"Stored are: {known}." if known else "None is stored: tipvision light keep."
        raise StoreError(f'No stored light is called "{name}". {hint}')
    return path


def _digest(body: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


def _plain(correction: Correction) -> dict[str, Any]:
    return {
        "matrix": correction.matrix.tolist(),
        "degree": correction.degree,
        "tone": correction.tone.tolist(),
    }


def _light(body: Mapping[str, Any]) -> StoredLight:
    with_ = body["taken_with"]
    samples = _correction(body["samples"])
    if samples.matrix.shape[:-2] != (DRAWS,):
        raise ValueError(f"it holds {samples.draws} draws instead of {DRAWS}")
    cast = np.array(with_["cast"], np.float64)
    exposure = with_["exposure"]
    if cast.shape != (3,) or not np.isfinite(cast).all():
        raise ValueError("its cast is not three numbers")
    if exposure is not None and not 0 < float(exposure) < np.inf:
        raise ValueError("its exposure is not above 0")
    correction = _correction(body["correction"])
    if correction.matrix.ndim != 2:
        raise ValueError("its correction is a stack")
    return StoredLight(
        name=checked_name(str(body["name"])),
        correction=correction,
        samples=samples,
        verdict=str(body["verdict"]),
        residual=float(body["residual"]),
        taken_with=Conditions(
            with_["maker"],
            with_["model"],
            exposure,
            with_["white_balance"],
            with_["flash_fired"],
            cast,
        ),
    )


def _correction(plain: Mapping[str, Any]) -> Correction:
    matrix, tone = (np.array(plain[key], np.float64) for key in ("matrix", "tone"))
    if not (np.isfinite(matrix).all() and np.isfinite(tone).all()):
        raise ValueError("a number in it is not finite")
    return Correction(matrix, int(plain["degree"]), tone)
