"""A look: what its photos may draw. Read from the committed lists and checked."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from pipelines.studio import plug
from pipelines.studio.firing_end import METALS
from pipelines.studio.lights.spectra import CAMERAS, ILLUMINANTS
from pipelines.studio.looks import LOOKS
from pipelines.studio.materials.palettes import PALETTES
from pipelines.studio.objects.grounds import GROUNDS
from pipelines.studio.objects.parts import OBJECTS
from pipelines.studio.staging.holders import GLOVES, HOLDERS

REFERENCES = ("chart", "bench_card", "grey_card", "stored_light", "no_reference")
_FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Framing:
    """How close the photos of a look come.

    `share` is the range of the firing end in the render's shorter side and `lean` what draws it to
    the greater (as in `common.toml`). `noses` are triples of a share of the photos with a plug and
    the least and greatest pixels across of the nose in them, at a longer side of 512; empty: as
    near as the render or a little closer. `apart` is the share of photos that come close whether
    or not the reference stays in them.
    """

    share: tuple[float, float]
    lean: float
    noses: tuple[tuple[float, float, float], ...] = ()
    apart: float = 0.0


@dataclass(frozen=True)
class Look:
    """What a look may draw. `seeds` are its first and last; `plugs` the share of photos with one.

    `objects` are the parts that lie in photos without a plug and as litter beside plugs.
    `conditions` and `references` are pairs of name and share; each sums to 1. `web` is the share of
    the photos without a reference that are worked over as pictures of the web and of catalogues
    are, `other_metal` that of all photos whose metal is changed (`other_metal.py`). `used_metals`
    and `new_metals` are pairs of a kind of metal (`firing_end.METALS`) and how often it comes;
    empty: every plug has that of its condition.
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
    framing: Framing
    web: float
    other_metal: float
    used_metals: tuple[tuple[str, float], ...]
    new_metals: tuple[tuple[str, float], ...]

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
    for name_of, metals in raw.get("metals", {}).items():
        if unknown := [m for m in metals if m not in METALS]:
            raise ValueError(f"{path.name}: metals names {unknown[0]!r}, which does not exist")
        if abs(sum(metals.values()) - 1) > 1e-9:
            raise ValueError(f"{path.name}: the shares of metals.{name_of} do not sum to 1")
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
        _framing(raw.get("framing", {}), path.name),
        float(raw.get("web", 0.0)),
        float(raw.get("other_metal", 0.0)),
        *(tuple(raw.get("metals", {}).get(k, {}).items()) for k in ("used", "unused")),
    )


def _framing(raw: dict[str, Any], file: str) -> Framing:
    """The framing of a look's file; what it does not say is as in `common.toml`."""
    drawn = common()["render"]
    low, high = raw.get("share", drawn["share"])
    noses = tuple((float(n[0]), float(n[1]), float(n[2])) for n in raw.get("noses", ()))
    if noses and abs(sum(n[0] for n in noses) - 1) > 1e-9:
        raise ValueError(f"{file}: the shares of framing.noses do not sum to 1")
    lean = raw.get("share_lean", drawn["share_lean"])
    return Framing((low, high), lean, noses, float(raw.get("apart", 0.0)))


def look_of(seed: int) -> Look | None:
    """The look that has the seed; None for one that belongs to no look."""
    every = (look(name) for name in LOOKS)
    return next((of for of in every if of.seeds[0] <= seed <= of.seeds[1]), None)
