"""What a plug's history does to its shape: conditions wear it, findings break it.

Source of all amounts: our estimate.
"""

from dataclasses import replace

import numpy as np

from pipelines.studio.firing_end import FINDINGS, FiringEnd

WIDEST = 2.0
"""mm; the widest gap that wear alone makes here."""

_WEAR = {
    "normal": (0.08, 0.35),
    "dry_black": (0.05, 0.4),
    "wet_black": (0.05, 0.4),
    "chalk_white": (0.55, 1.0),
    "unused": (0.0, 0.0),
}


def aged(plug: FiringEnd, varied: bool) -> FiringEnd:
    """The plug with the marks of its condition, if `varied`, and of its findings.

    Without `varied` the wear that it has stands, but for what findings and shares change.
    """
    rng = np.random.default_rng([plug.seed, 13])
    if varied or plug.shares:
        plug = _worn_by_condition(plug, rng)
    for finding in plug.findings:
        change = _CHANGES.get(finding)
        if change is not None:
            plug = change(plug, np.random.default_rng([plug.seed, 15, FINDINGS.index(finding)]))
    return plug


def _worn_by_condition(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    """Most overheated plugs are burnt round, a few show their heat in other ways."""
    mixture = plug.mixture or {"normal": 1.0}
    drawn = {name: rng.uniform(*_WEAR[name]) for name in _WEAR}
    if rng.random() < 0.2:
        drawn["chalk_white"] = rng.uniform(0.15, 0.4)
    wear = float(sum(share * drawn[name] for name, share in mixture.items()))
    burnt = float(rng.uniform(0.15, 0.45)) if wear > 0.5 else 0.0
    return replace(_burnt(plug, burnt), wear=wear)


def _burnt(plug: FiringEnd, amount: float) -> FiringEnd:
    """The gap widened by up to `amount` mm: the centre electrode burns down, or apart."""
    amount = max(0.0, min(amount, WIDEST - plug.gap))
    if plug.strap_kind == "surface":
        room = plug.rim_radius - 1.1 - plug.electrode / 2 - plug.gap
        return replace(plug, gap=plug.gap + max(0.0, min(amount, room)))
    if plug.has_side_straps:
        return replace(plug, gap=plug.gap + amount)
    return replace(plug, gap=plug.gap + amount, electrode_out=plug.electrode_out - 0.6 * amount)


def _worn(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    wear = float(max(plug.wear, rng.uniform(0.65, 0.95)))
    return replace(_burnt(plug, float(rng.uniform(0.3, 0.75))), wear=wear)


def _closed(plug: FiringEnd, gap: float) -> FiringEnd:
    """The strap pushed down to a small gap; it stays clear of the rim, so the electrode must."""
    plug = replace(plug, gap=gap)
    return replace(plug, electrode_out=plug.electrode_out + max(0.0, 0.45 - plug.underside))


def _bridged(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    """Mostly deposits across the gap; some J straps are closed up instead."""
    if plug.strap_kind in ("j", "short") and rng.random() < 0.25:
        return _closed(plug, float(rng.uniform(0.02, 0.1)))
    return replace(plug, bridge=1.0)


def _seen_side(plug: FiringEnd, rng: np.random.Generator) -> float:
    """A direction in degrees that the strap does not hide."""
    return float(plug.strap_turn + 180 + rng.uniform(-120, 120)) % 360


def _cracked(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    """A crack, a chipped corner, or both; one in five has its tip broken off."""
    way = rng.random()
    plug = replace(
        plug,
        crack=float(rng.uniform(1.5, 5.0)) if way < 0.7 else 0.0,
        crack_turn=_seen_side(plug, rng),
    )
    if way < 0.4:
        return plug
    broken_off = way > 0.8
    return replace(
        plug,
        chip=float(rng.uniform(1.2, 2.8) if broken_off else rng.uniform(0.5, 1.5)),
        chip_turn=_seen_side(plug, rng),
        chip_slope=float(rng.uniform(62, 82) if broken_off else rng.uniform(15, 55)),
    )


def _pre_ignition(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    """Centre electrode melted down or gone, the strap melted back, or both."""
    way = rng.random()
    plug = replace(
        plug,
        melt=float(rng.uniform(0.5, 1.0)),
        wear=1.0,
        nose_edge=plug.nose_edge * float(rng.uniform(1.2, 1.8)),
    )
    if way < 0.75:
        left = float(rng.uniform(-0.9, 0.4)) if plug.strap_kind != "surface" else -0.9
        lost = max(0.0, plug.electrode_out - left)
        gap = plug.gap if plug.has_side_straps or plug.strap_kind == "surface" else plug.gap + lost
        plug = replace(plug, electrode_out=plug.electrode_out - lost, electrode_lost=lost, gap=gap)
    if way > 0.45 and plug.strap_kind != "surface":
        plug = replace(plug, strap_left=float(rng.uniform(0.22, 0.7)))
    return plug


def _detonation(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    """A third lose a piece of the nose; the specks are in the cover."""
    if rng.random() > 0.35 or plug.chip > 0:
        return plug
    return replace(
        plug,
        chip=float(rng.uniform(0.6, 1.8)),
        chip_turn=_seen_side(plug, rng),
        chip_slope=float(rng.uniform(30, 75)),
    )


def _metal_specks(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    return replace(plug, balls=int(rng.integers(8, 30)))


def _mechanical(plug: FiringEnd, rng: np.random.Generator) -> FiringEnd:
    """Hit from above, bent up, knocked aside, or both; without a strap the nose takes the blow."""
    if plug.strap_kind == "surface":
        return replace(plug, chip=0.8, chip_turn=_seen_side(plug, rng), chip_slope=70.0)
    way = rng.random()
    most = 7.0 if plug.centre == "fine_wire" else 14.0
    aside = float(rng.choice([-1, 1]) * rng.uniform(0.5, 1.0) * most)
    if way < 0.45 and not plug.has_side_straps and plug.melt <= 0:
        plug = _closed(plug, float(rng.uniform(0.02, 0.25)))
        plug = replace(plug, strap_tilt=float(rng.uniform(2.0, 9.0)))
    elif way < 0.7:
        plug = replace(plug, strap_tilt=float(-rng.uniform(6.0, 16.0)))
    return plug if 0.3 < way < 0.45 else replace(plug, strap_sideways=aside)


_CHANGES = {
    "bridged": _bridged,
    "worn": _worn,
    "cracked": _cracked,
    "pre_ignition": _pre_ignition,
    "detonation": _detonation,
    "metal_specks": _metal_specks,
    "mechanical": _mechanical,
}
