"""Drawing a firing end from one seed: its kind, its measures and what its history did to it."""

from collections.abc import Collection, Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np

from pipelines.studio.firing_end import CONDITIONS, FINDINGS, Condition, FiringEnd
from pipelines.studio.plug_families import (
    FAMILIES,
    HELD_OUT,
    OPEN,
    THREADS,
    Family,
    ThreadForm,
    chosen,
)
from pipelines.studio.plug_history import aged

__all__ = [
    "CONDITIONS",
    "FAMILIES",
    "FINDINGS",
    "HELD_OUT",
    "OPEN",
    "Condition",
    "FiringEnd",
    "sample_plug",
]


def sample_plug(
    seed: int,
    condition: Condition | None,
    thread: float | None = None,
    reach: float | None = None,
    *,
    families: Collection[str] | None = None,
    findings: Collection[str] = (),
    shares: Mapping[str, float] | None = None,
    **fixed: Any,
) -> FiringEnd:
    """Draw a firing end. The same arguments give the same plug. Source: our estimate, after TRADE.

    Without `families` it has a gasket, a projected nose, a nickel electrode and a J strap (M14 and
    12.7 mm reach unless told otherwise); with them (keys of `FAMILIES`) the kind, reach, hexagon
    and the rest are drawn too. `findings` set what they do to the shape. `shares` of conditions
    (they sum to 1 and the greatest is `condition`'s) mix the wear. `fixed` sets fields by name,
    after all is drawn. `condition` may be None when there are findings.

    Raises ValueError for names that the studio does not know and for what does not fit together.
    """
    mixed = _checked(condition, findings, shares, fixed)
    if families is None:
        wanted = 14.0 if thread is None else thread
        if wanted not in THREADS:
            known = ", ".join(f"M{t:g}" for t in THREADS)
            raise ValueError(f"no plug with thread M{wanted:g}; known: {known}")
        kind = Family(wanted, "gasket", "projected", "nickel", "j")
    else:
        left = chosen(families, thread)
        kind = left[int(np.random.default_rng([seed, 12]).integers(len(left)))]
    plug = _plain(seed, condition, kind.thread, 12.7 if reach is None else reach)
    if families is not None:
        plug = _shaped(plug, kind, reach)
    plug = replace(plug, shares=mixed, findings=tuple(f for f in FINDINGS if f in findings))
    plug = aged(plug, varied=families is not None)
    return _fitted(replace(plug, **fixed), fixed)


def _checked(
    condition: str | None,
    findings: Collection[str],
    shares: Mapping[str, float] | None,
    fixed: Mapping[str, Any],
) -> tuple[tuple[str, float], ...]:
    for name in [condition] if condition is not None else []:
        if name not in CONDITIONS:
            raise ValueError(f"no condition called {name!r}; known: {', '.join(CONDITIONS)}")
    for name in findings:
        if name not in FINDINGS:
            raise ValueError(f"no finding called {name!r}; known: {', '.join(FINDINGS)}")
    if condition is None and not findings:
        raise ValueError("a plug without a condition needs a finding that describes it")
    settable = {f.name for f in fields(FiringEnd)} - {"seed", "condition", "findings", "shares"}
    for name in fixed:
        if name not in settable:
            raise ValueError(f"a firing end has no {name!r} to fix; it has: {sorted(settable)}")
    if shares is None:
        return ()
    if not set(shares) <= set(CONDITIONS) or abs(sum(shares.values()) - 1) > 1e-6:
        raise ValueError(f"shares must be of {', '.join(CONDITIONS)} and sum to 1, not {shares}")
    if min(shares.values()) < 0 or max(shares, key=lambda c: shares[c]) != condition:
        raise ValueError(f"the greatest of the shares {shares} must be that of {condition!r}")
    return tuple((c, float(shares[c])) for c in CONDITIONS if shares.get(c, 0.0) > 0)


def _plain(seed: int, condition: Condition | None, thread: float, reach: float) -> FiringEnd:
    """The common plug of a thread. The order of the draws is what keeps old seeds' plugs."""
    rng = np.random.default_rng([seed, 1])
    form = THREADS[thread]
    wear = {
        "normal": rng.uniform(0.10, 0.35),
        "dry_black": rng.uniform(0.05, 0.3),
        "wet_black": rng.uniform(0.05, 0.3),
        "chalk_white": rng.uniform(0.7, 1.0),
        "unused": 0.0,
    }[condition or "normal"]
    nose_tip = rng.uniform(*form.nose_tip)
    return FiringEnd(
        seed=seed,
        condition=condition,
        thread=thread,
        pitch=form.pitch,
        reach=reach,
        hexagon=float(rng.choice(form.hexagons[:2])),
        rim_radius=rng.uniform(*form.rim_radius),
        bore_radius=rng.uniform(*form.bore_radius),
        nose_tip=nose_tip,
        nose_base=nose_tip + rng.uniform(*form.nose_widens),
        nose_edge=rng.uniform(*form.nose_edge),
        projection=rng.uniform(0.6, 2.4),
        electrode=rng.uniform(*form.electrode),
        electrode_out=rng.uniform(1.2, 1.9),
        gap=rng.uniform(0.6, 0.85) + (rng.uniform(0.2, 0.5) if wear > 0.5 else 0.0),
        strap_width=rng.uniform(*form.strap_width),
        strap_thickness=rng.uniform(*form.strap_thickness),
        strap_bend=rng.uniform(1.6, 2.6),
        strap_past=rng.uniform(*form.strap_past),
        strap_turn=rng.uniform(0.0, 360.0),
        wear=wear,
        one_sided=rng.uniform(-0.35, 0.35),
    )


def _shaped(plug: FiringEnd, kind: Family, reach: float | None) -> FiringEnd:
    """The plug turned into one of a family, with everything about it that can vary."""
    rng = np.random.default_rng([plug.seed, 14])
    form = THREADS[kind.thread]
    hexagon = float(rng.choice(form.hexagons if kind.seat == "gasket" else form.hexagons[:1]))
    drawn_reach = float(rng.choice(form.reaches))
    gap = float(rng.uniform(1.0, 1.6) if rng.random() < 0.15 else rng.uniform(0.4, 1.05))
    plug = replace(
        plug,
        seat=kind.seat,
        nose_kind=kind.nose,
        centre=kind.centre,
        strap_kind=kind.strap,
        hexagon=hexagon,
        reach=drawn_reach if reach is None else reach,
        gap=gap,
        upper_radius=min(4.9, hexagon / 2 - 2.3),
        ribs=int(rng.choice([0, 3, 4, 5, 5])),
        terminal="nut" if rng.random() < 0.7 else "stud",
        pale=bool(plug.condition == "normal" and rng.random() < 0.3),
    )
    plug = _centred(plug, kind, rng)
    plug = _strapped(plug, kind, form, rng)
    return replace(plug, strap_turn=plug.strap_turn % (360.0 / max(1, len(plug.strap_turns))))


def _centred(plug: FiringEnd, kind: Family, rng: np.random.Generator) -> FiringEnd:
    """Nose height and centre electrode of the family."""
    out = rng.uniform(0.9, 1.9)
    if kind.nose == "projected":
        projection = rng.uniform(0.6, 3.0) * (0.7 if kind.thread < 12 else 1.0)
    elif kind.nose == "flush":
        projection = rng.uniform(-0.2, 0.2)
        out = rng.uniform(0.7, 1.6)
    else:
        projection = -rng.uniform(0.6, 2.5)
        # The electrode of a recessed nose ends near the rim, where a low strap reaches it.
        out = -projection + rng.uniform(0.0, 0.6)
    plug = replace(plug, projection=float(projection), electrode_out=float(out))
    if kind.centre == "nickel":
        return plug
    return replace(
        plug,
        electrode=float(rng.uniform(0.4, 0.8)),
        electrode_base=float(plug.electrode * rng.uniform(0.6, 0.95)),
        electrode_shoulder=float(rng.uniform(0.0, 0.35) * out),
    )


def _strapped(
    plug: FiringEnd, kind: Family, form: ThreadForm, rng: np.random.Generator
) -> FiringEnd:
    """Strap of the family, and the heights that it asks for."""
    bend = float(rng.uniform(1.3, 2.8) * min(1.0, kind.thread / 14.0 + 0.1))
    plug = replace(plug, strap_bend=bend)
    match kind.strap:
        case "j":
            past = float(rng.uniform(*form.strap_past)) + plug.electrode / 4
            low = max(0.0, 0.55 - plug.underside)
            return replace(plug, strap_past=past, electrode_out=plug.electrode_out + low)
        case "short":
            # Cut back to somewhere over the electrode; a fine wire must still be covered.
            reach_in = -0.5 * plug.electrode if kind.centre == "fine_wire" else 0.0
            past = -rng.uniform(reach_in - 0.15, 0.3 * plug.electrode / 2)
            low = max(0.0, 0.55 - plug.underside)
            return replace(plug, strap_past=float(past), electrode_out=plug.electrode_out + low)
        case "double" | "triple":
            thick = plug.strap_thickness * (0.95 if kind.strap == "double" else 0.88)
            return replace(
                plug,
                strap_thickness=thick,
                strap_width=plug.strap_width * (0.95 if kind.strap == "double" else 0.8),
                electrode_out=float(thick + rng.uniform(0.35, 0.8)),
                gap=min(plug.gap, 1.1),
                strap_past=0.0,
            )
        case "surface":
            most = (plug.rim_radius - 1.3) - plug.electrode / 2
            return replace(
                plug,
                projection=float(rng.uniform(-0.35, 0.0)),
                electrode_out=float(rng.uniform(0.05, 0.35)),
                gap=float(min(rng.uniform(0.8, 2.0), most)),
                strap_past=0.0,
            )


def _fitted(plug: FiringEnd, fixed: Mapping[str, Any]) -> FiringEnd:
    """The mouth of a surface gap follows from electrode and gap; then a look that all fits."""
    if plug.strap_kind == "surface":
        mouth = plug.electrode / 2 + plug.gap
        tip = 2 * (mouth - 0.04)
        wanted: dict[str, Any] = {
            "bore_radius": mouth,
            "nose_tip": tip,
            "nose_base": tip,
            "nose_edge": 0.12,
        }
        plug = replace(plug, **{k: v for k, v in wanted.items() if k not in fixed})
    if plug.gap < 0 or plug.electrode >= plug.nose_tip or plug.bore_radius >= plug.rim_radius:
        raise ValueError(
            f"plug {plug.seed} does not fit together: gap {plug.gap:g}, electrode "
            f"{plug.electrode:g} in a nose of {plug.nose_tip:g}, bore radius {plug.bore_radius:g} "
            f"in a rim of radius {plug.rim_radius:g} mm; fix other measures"
        )
    return plug
