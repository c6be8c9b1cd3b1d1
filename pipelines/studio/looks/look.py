"""A look: what its photos may draw. Read from the committed lists and checked."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from pipelines.studio import plug
from pipelines.studio.lights.spectra import CAMERAS, ILLUMINANTS
from pipelines.studio.looks import LOOKS
from pipelines.studio.materials.palettes import PALETTES
from pipelines.studio.objects.grounds import GROUNDS
from pipelines.studio.objects.parts import OBJECTS
from pipelines.studio.staging.holders import GLOVES, HOLDERS

REFERENCES = ("chart", "bench_card", "grey_card", "stored_light", "no_reference")
_FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Look:
    """What a look may draw. `seeds` are its first and last; `plugs` the share of photos with one.

    `objects` are the parts that lie in photos without a plug and as litter beside plugs.
    `conditions` and `references` are pairs of name and share; each sums to 1.
    """

    name: str
    seeds: tuple[int, int]
    plugs: float
    families: tuple[str, ...]
    palettes: tuple[str, ...]
    backgrounds: tuple[str, ...]
    objects: tuple[str, ...]
    holders: tuple[str, ...]
    gloves: tuple[str, ...]
    illuminants: tuple[str, ...]
    cameras: tuple[str, ...]
    conditions: tuple[tuple[str, float], ...]
    references: tuple[tuple[str, float], ...]

    def seed(self, index: int) -> int:
        """The seed of its photo number `index`. Raises IndexError past its last seed."""
        first, last = self.seeds
        if not 0 <= index <= last - first:
            raise IndexError(f"look {self.name} has photos 0 to {last - first}, not {index}")
        return first + index


@cache
def common() -> dict[str, Any]:
    """What all looks share (`common.toml`)."""
    return tomllib.loads((_FOLDER / "common.toml").read_text(encoding="utf-8"))


@cache
def look(name: str) -> Look:
    """The look of that name. Raises ValueError for an unknown one or a list that does not hold."""
    if name not in LOOKS:
        raise ValueError(f"no look called {name!r}; known: {', '.join(LOOKS)}")
    path = _FOLDER / f"{name}.toml"
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    families = [
        f
        for f in {"open": plug.OPEN, "held_out": plug.HELD_OUT}[raw["families"]]
        if f not in raw["leave_out"]
    ]
    for field, known in (
        ("leave_out", plug.FAMILIES),
        ("palettes", PALETTES),
        ("backgrounds", GROUNDS),
        ("objects", OBJECTS),
        ("holders", HOLDERS),
        ("gloves", GLOVES),
        ("illuminants", ILLUMINANTS),
        ("cameras", CAMERAS),
        ("conditions", (*plug.CONDITIONS, "none")),
        ("references", REFERENCES),
    ):
        unknown = [v for v in raw[field] if v not in known]
        if unknown:
            raise ValueError(f"{path.name}: {field} names {unknown[0]!r}, which does not exist")
    for field in ("conditions", "references"):
        total = sum(raw[field].values())
        if abs(total - 1) > 1e-9:
            raise ValueError(f"{path.name}: the shares of {field} sum to {total:g}, not 1")
    return Look(
        name,
        (raw["seeds"][0], raw["seeds"][1]),
        raw["plugs"],
        tuple(families),
        tuple(raw["palettes"]),
        tuple(raw["backgrounds"]),
        tuple(raw["objects"]),
        tuple(raw["holders"]),
        tuple(raw["gloves"]),
        tuple(raw["illuminants"]),
        tuple(raw["cameras"]),
        tuple(raw["conditions"].items()),
        tuple(raw["references"].items()),
    )
