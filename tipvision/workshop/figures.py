"""The figures of the bench, read from data files in which every one has its source."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from tipvision.causes.entries import is_source

THREADS = ("M8", "M10", "M12", "M14", "M18")
SEATS = ("gasket", "taper")
HEADS = ("aluminium", "iron")


@dataclass(frozen=True)
class Figure:
    """One number or a span (low, high); the unit ends its name (`_mm`, `_c`, `_kv`, `_nm`)."""

    low: float
    high: float
    source: str


@cache
def figures() -> Mapping[str, Figure]:
    """The figures of `figures.toml` by name, checked by `parse_figures`."""
    return parse_figures(_text("figures.toml"))


@cache
def torques() -> Mapping[tuple[str, str, str], Figure]:
    """N·m by (thread, seat, head), of `torques.toml`, checked by `parse_torques`."""
    return parse_torques(_text("torques.toml"))


def parse_figures(text: str) -> Mapping[str, Figure]:
    """Raises ValueError, naming the figure, for one without a number, with its ends the wrong way
    round or without a listed source."""
    return {
        name: _figure(name, entry.get("value"), entry.get("source"))
        for name, entry in tomllib.loads(text).items()
    }


def parse_torques(text: str) -> Mapping[tuple[str, str, str], Figure]:
    """Raises ValueError, naming the row, for an unknown word, a row that stands twice, or what
    `parse_figures` refuses."""
    data = tomllib.loads(text)
    rows: dict[tuple[str, str, str], Figure] = {}
    for row in data["torque"]:
        for head in row["heads"]:
            key = (row["thread"], row["seat"], head)
            if key[0] not in THREADS or key[1] not in SEATS or head not in HEADS:
                raise ValueError(f"torques.toml, {key}: unknown thread, seat or head.")
            if key in rows:
                raise ValueError(f"torques.toml, {key}: stands twice.")
            rows[key] = _figure(str(key), row["nm"], data.get("source"))
    return rows


def _figure(name: str, value: object, source: object) -> Figure:
    ends = value if isinstance(value, list) else [value, value]
    if len(ends) != 2 or not all(isinstance(end, int | float) for end in ends):
        raise ValueError(f"{name}: its value is neither a number nor a span of two.")
    low, high = map(float, ends)
    if not 0 <= low <= high:
        raise ValueError(f"{name}: {low} to {high} is not a span.")
    if not isinstance(source, str) or not is_source(source):
        raise ValueError(f"{name}: its source is not in the closed list.")
    return Figure(low, high, source)


def _text(name: str) -> str:
    return resources.files("tipvision.workshop").joinpath(name).read_text("utf-8")
