"""What a firing end is: its measures in millimetres and its history, drawn from one seed."""

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

Condition = Literal["normal", "dry_black", "wet_black", "chalk_white", "unused"]
CONDITIONS: tuple[str, ...] = get_args(Condition)


@dataclass(frozen=True)
class FiringEnd:
    """One plug. The rim of the shell is z = 0, the firing end looks to +z; lengths in mm.

    `projection` of the nose over the rim (negative: recessed), `electrode_out` of the centre
    electrode over the nose, `strap_turn` of the strap round the axis in degrees, `wear` 0 (square
    edges) to 1 (burnt round). `one_sided` −1..1 pulls the deposits to one side.
    """

    seed: int
    condition: Condition
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

    @property
    def underside(self) -> float:
        """Height of the strap's lower face over the rim."""
        return self.projection + self.electrode_out + self.gap


_PITCH = {10.0: 1.0, 12.0: 1.25, 14.0: 1.25}


def sample_plug(
    seed: int, condition: Condition, thread: float = 14.0, reach: float = 12.7
) -> FiringEnd:
    """Draw a firing end. The same arguments give the same plug. Source: our estimate, after TRADE.

    Raises ValueError for a condition or a thread that the studio does not know.
    """
    if condition not in CONDITIONS:
        raise ValueError(f"no condition called {condition!r}; known: {', '.join(CONDITIONS)}")
    if thread not in _PITCH:
        raise ValueError(f"no plug with thread M{thread:g}; known: M10, M12, M14")
    rng = np.random.default_rng([seed, 1])
    size = thread / 14.0
    wear = {
        "normal": rng.uniform(0.10, 0.35),
        "dry_black": rng.uniform(0.05, 0.3),
        "wet_black": rng.uniform(0.05, 0.3),
        "chalk_white": rng.uniform(0.7, 1.0),
        "unused": 0.0,
    }[condition]
    nose_tip = rng.uniform(4.6, 5.6) * size
    return FiringEnd(
        seed=seed,
        condition=condition,
        thread=thread,
        pitch=_PITCH[thread],
        reach=reach,
        hexagon=float(rng.choice([16.0, 20.8])) if thread == 14.0 else 16.0,
        rim_radius=rng.uniform(6.3, 6.5) * size,
        bore_radius=rng.uniform(4.8, 5.1) * size,
        nose_tip=nose_tip,
        nose_base=nose_tip + rng.uniform(1.6, 2.3) * size,
        nose_edge=rng.uniform(0.25, 0.55) * size,
        projection=rng.uniform(0.6, 2.4),
        electrode=rng.uniform(2.35, 2.65) * size,
        electrode_out=rng.uniform(1.2, 1.9),
        gap=rng.uniform(0.6, 0.85) + (rng.uniform(0.2, 0.5) if wear > 0.5 else 0.0),
        strap_width=rng.uniform(2.5, 2.75) * size,
        strap_thickness=rng.uniform(1.25, 1.4) * size,
        strap_bend=rng.uniform(1.6, 2.6),
        strap_past=rng.uniform(0.3, 1.1) * size,
        strap_turn=rng.uniform(0.0, 360.0),
        wear=wear,
        one_sided=rng.uniform(-0.35, 0.35),
    )
