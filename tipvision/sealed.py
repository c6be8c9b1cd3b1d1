"""Folders of shipped models: every file is held against the manifest before it is used."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any


class ModelFault(Exception):
    """A model folder that must not be used; the message says why and what to do."""


def sealed(folder: Path, names: Sequence[str]) -> tuple[Mapping[str, Any], dict[str, bytes]]:
    """The manifest of a model folder, and the content of its files of these names.

    Raises ModelFault when one is missing, or its SHA-256 differs from the manifest's.
    """
    try:
        manifest = json.loads((folder / "manifest.json").read_bytes())
        contents = {name: (folder / name).read_bytes() for name in names}
        expected = {name: manifest["files"][name] for name in names}
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelFault(f"The model in {folder} is incomplete. Install it again.") from error
    for name, content in contents.items():
        if hashlib.sha256(content).hexdigest() != expected[name]:
            raise ModelFault(f"{folder / name} was changed after it was made. Install it again.")
    return manifest, contents
