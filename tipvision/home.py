"""The one folder of a shop's own state: stored lights and whatever it keeps beside them."""

import os
import sys
from pathlib import Path

VARIABLE = "TIPVISION_HOME"


def home() -> Path:
    """`TIPVISION_HOME`, or else the platform's folder for a user's data; it need not exist yet."""
    if named := os.environ.get(VARIABLE):
        return Path(named).expanduser()
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local"
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share"
    return Path(base) / "tipvision"
