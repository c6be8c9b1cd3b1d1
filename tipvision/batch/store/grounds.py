"""All that decides a reading beside the photo, so that a later run knows what still stands."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tipvision import __version__
from tipvision.causes.shop import FILE
from tipvision.home import home
from tipvision.reading import Ask
from tipvision.record import SCHEMA_VERSION
from tipvision.shipped import models_folder
from tipvision.teaching.store import SHIPPED, models_of_shop

WORDS = {
    "version": "another version of tipvision",
    "model": "another model",
    "light": "another light",
    "engine": "other facts of the engine",
    "knowledge": "other knowledge of causes",
}


def grounds_of(ask: Ask, model_name: str) -> dict[str, str]:
    """The parts, by the keys of `WORDS`; two runs whose parts are the same read alike.

    model_name: `SHIPPED` or the name of one of the shop's own.
    """
    model = (
        models_folder() / "condition" if model_name == SHIPPED else models_of_shop() / model_name
    )
    finders = [folder for folder in sorted(models_folder().iterdir()) if folder.name != "condition"]
    own_knowledge = home() / FILE
    return {
        "version": f"{__version__}, record {SCHEMA_VERSION}, "
        + _digest("".join(_of_file(folder / "manifest.json") for folder in finders)),
        "model": f"{model_name} {_of_file(model / 'manifest.json')}",
        "light": _digest(_plain(asdict(ask.light))),
        "engine": _digest(_plain([asdict(ask.engine), dict(ask.facts)])),
        "knowledge": _of_file(own_knowledge) if own_knowledge.is_file() else "shipped",
    }


def differing(parts: Mapping[str, str], others: Mapping[str, str]) -> str:
    """The first key of `WORDS` in which two differ."""
    return next((key for key in WORDS if parts.get(key) != others.get(key)), "version")


def _plain(value: Any) -> str:
    return json.dumps(value, sort_keys=True, default=lambda array: array.tolist())


def _of_file(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
