"""What `--version` prints."""

import json

from tipvision import __version__
from tipvision.record import SCHEMA_VERSION
from tipvision.shipped import models_folder


def version_text() -> str:
    """Tool, record and model versions, a line each."""
    lines = [f"tipvision {__version__}", f"record {SCHEMA_VERSION}"]
    for manifest in sorted(models_folder().glob("*/manifest.json")):
        model = json.loads(manifest.read_text("utf-8"))
        lines.append(f"model {model['name']} {model['version']}")
    return "\n".join(lines)
