"""A firing end: its measures in millimetres, and what has happened to it."""

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from pipelines.studio.plug_families import Centre, Family, Nose, Seat, Strap
from tipvision.condition.condition import CONDITIONS, FINDINGS

__all__ = ["CONDITIONS", "FINDINGS", "METALS", "Condition", "FiringEnd"]

Condition = Literal["normal", "dry_black", "wet_black", "chalk_white", "unused"]
assert get_args(Condition) == CONDITIONS  # the record's own words, with a type for each

METALS = ("plain", "sooty", "varnished", "clean", "blackened", "yellow")
"""What lies over the metal beside its condition's own marks (`materials.metal_history`)."""


@dataclass(frozen=True)
class FiringEnd:
    """One plug. The rim of the shell is z = 0, the firing end looks to +z; lengths in mm.

    `projection` of the nose over the rim (negative: recessed), `electrode_out` of the centre
    electrode over the nose (negative: burnt away below it), `strap_turn` of the first strap round
    the axis in degrees, `wear` 0 (square edges) to 1 (burnt round). `one_sided` −1..1 pulls the
    deposits to one side. `gap` lies along the axis under J and short straps, across it at side
    straps and the surface gap.

    `shares` are pairs of condition and share that sum to 1; empty: `condition` alone.
    `electrode_base` is the stem of a fine wire where it leaves the nose, `electrode_shoulder` how
    far it stands out; 0: straight. Damage: `electrode_lost` of the centre electrode's length,
    already taken off `electrode_out`; `strap_tilt` in degrees (positive: free end pushed
    down), `strap_sideways` in degrees, `strap_left` the share of the strap's length that is there,
    `melt` 0..1, `bridge` the share of the gap that deposits fill, `balls` the number of metal
    beads, `crack` the depth in mm to which a crack runs down the nose at `crack_turn` degrees,
    `chip` the depth in mm of a piece broken off at `chip_turn` degrees by a face that rises
    `chip_slope` degrees (90: the tip is broken straight off). `palette` names one of
    `materials.palettes`; None: the demo's. `metal` is one of `METALS`.
    """

    seed: int
    condition: Condition | None
    thread: float
    pitch: float
    reach: float
    hexagon: float
    rim_radius: float
    bore_radius: float
    nose_tip: float
    nose_base: float
    nose_edge: float
    projection: float
    electrode: float
    electrode_out: float
    gap: float
    strap_width: float
    strap_thickness: float
    strap_bend: float
    strap_past: float
    strap_turn: float
    wear: float
    one_sided: float
    seat: Seat = "gasket"
    nose_kind: Nose = "projected"
    centre: Centre = "nickel"
    strap_kind: Strap = "j"
    electrode_base: float = 0.0
    electrode_shoulder: float = 0.0
    upper_radius: float = 4.9
    ribs: int = 5
    terminal: Literal["nut", "stud"] = "nut"
    findings: tuple[str, ...] = ()
    shares: tuple[tuple[str, float], ...] = ()
    pale: bool = False
    bridge: float = 0.0
    balls: int = 0
    melt: float = 0.0
    electrode_lost: float = 0.0
    strap_tilt: float = 0.0
    strap_sideways: float = 0.0
    strap_left: float = 1.0
    crack: float = 0.0
    crack_turn: float = 0.0
    chip: float = 0.0
    chip_turn: float = 0.0
    chip_slope: float = 45.0
    palette: str | None = None
    metal: str = "plain"

    @property
    def family(self) -> Family:
        """Its kind."""
        return Family(self.thread, self.seat, self.nose_kind, self.centre, self.strap_kind)

    @property
    def mixture(self) -> dict[str, float]:
        """Share of each condition; empty when only findings describe the plug."""
        if self.shares or self.condition is None:
            return dict(self.shares)
        return {self.condition: 1.0}

    @property
    def electrode_top(self) -> float:
        """Height of the centre electrode's end over the rim."""
        return self.projection + self.electrode_out

    @property
    def has_side_straps(self) -> bool:
        """Whether the gap lies between a strap's end and the electrode's side."""
        return self.strap_kind in ("double", "triple")

    @property
    def underside(self) -> float:
        """Height of the strap's lower face over the rim.

        Side straps end level with what the electrode once was.
        """
        if self.has_side_straps:
            return self.electrode_top + self.electrode_lost - self.strap_thickness + 0.05
        return self.projection + self.electrode_out + self.gap

    @property
    def strap_turns(self) -> tuple[float, ...]:
        """Turn of each strap round the axis in degrees."""
        many = {"surface": 0, "double": 2, "triple": 3}.get(self.strap_kind, 1)
        many = 0 if self.strap_left <= 0 else many
        return tuple(self.strap_turn + 360.0 * k / many for k in range(many))

    @property
    def strap_end(self) -> float:
        """Distance of the strap's free end from the axis along the strap (negative: past it)."""
        return self.electrode / 2 + self.gap if self.has_side_straps else -self.strap_past

    @property
    def bore_depth(self) -> float:
        """How deep the clearance round the nose is, from the rim."""
        return min(11.0, self.reach - 1.0)

    @property
    def gap_mm(self) -> float | None:
        """The gap between the metals; None where an electrode is gone or bent off the other."""
        if self.has_side_straps and self.electrode_top < self.underside:
            return None
        off = np.tan(np.radians(self.strap_sideways)) * (self.rim_radius + self.bore_radius) / 2
        if self.strap_left < 1.0 or abs(off) - self.strap_width / 2 > self.electrode / 2:
            return None
        return self.gap
