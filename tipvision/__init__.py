"""Reads the firing end of a pulled spark plug from a photo.

`tipvision.read(path)` gives the readings of one photo; `tipvision.reading` shows the way they come
about. Importing the package alone loads nothing heavy.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tipvision.reading import Ask, read
    from tipvision.record.reading import Reading

__version__ = "0.1.0"
__all__ = ["Ask", "Reading", "__version__", "read"]

_HOME = {
    "Ask": "tipvision.reading",
    "read": "tipvision.reading",
    "Reading": "tipvision.record.reading",
}


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'tipvision' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOME[name]), name)
