"""One photo of a look, drawn from one seed: what lies there, on what, under which light, seen how.

Each matter has a random stream of its own. Background, lamp and camera are drawn without a glance
at the plug, so that they can tell nothing of its condition.
"""

from dataclasses import dataclass

import numpy as np

from pipelines.studio.looks.deck import Slot, another, slot
from pipelines.studio.looks.look import Look, common, look
from pipelines.studio.staging import Standpoint


@dataclass(frozen=True)
class PlugChoice:
    """What a plug is to be. `shares` are pairs that sum to 1; `condition` has the greatest."""

    condition: str | None
    shares: tuple[tuple[str, float], ...]
    findings: tuple[str, ...]
    family: str
    palette: str
    pale: bool


@dataclass(frozen=True)
class Job:
    """One photo to make. `plug` None: nothing to read, but `objects` may lie there.

    `row` are the plugs beside the first, none as a rule.
    `share` of the render's shorter side that the firing end takes, where there is room for it;
    `illuminants` and `cameras` are those it may have; `reference` as in `deck.Slot`. `round_plug`
    is where the camera stands when a bench card lies round the plug, else None.
    """

    look: str
    index: int
    seed: int
    plug: PlugChoice | None
    row: tuple[PlugChoice, ...]
    reference: str
    view: str
    share: float
    size: tuple[int, int]
    background: str
    objects: tuple[str, ...]
    holders: tuple[str, ...]
    gloves: tuple[str, ...]
    illuminants: tuple[str, ...]
    mixed_light: float
    cameras: tuple[str, ...]
    round_plug: Standpoint | None


def job(name: str, index: int) -> Job:
    """Photo `index` of a look. The same arguments give the same job.

    Raises ValueError for an unknown look, IndexError past the look's last seed.
    """
    of, drawn = look(name), common()["render"]
    seed = of.seed(index)
    dealt = slot(name, index)
    where, frame = (np.random.default_rng([seed, k]) for k in (42, 43))
    views = common()["views"]
    view = str(frame.choice(list(views), p=list(views.values())))
    least, greatest = np.log(of.framing.share)
    share = float(np.exp(least + (greatest - least) * frame.random() ** of.framing.lean))
    width, height = drawn["size"]
    row = _row(of, seed) if dealt.plug else ()
    round_plug = None
    if (
        dealt.plug
        and not row
        and dealt.reference == "bench_card"
        and frame.random() < drawn["card_round_plug"]
    ):
        round_plug = _over_card(frame, width, height)
    return Job(
        name,
        index,
        seed,
        _plug(dealt, of, np.random.default_rng([seed, 44])) if dealt.plug else None,
        row,
        dealt.reference,
        view,
        share,
        (width, height),
        str(where.choice(of.backgrounds)),
        of.objects,
        of.holders,
        of.gloves,
        of.illuminants,
        drawn["mixed_light"],
        of.cameras,
        round_plug,
    )


def _row(of: Look, seed: int) -> tuple[PlugChoice, ...]:
    rng = np.random.default_rng([seed, 48])
    if rng.random() >= common()["rows"]["share"]:
        return ()
    return tuple(_plug(another(of, rng), of, rng) for _ in range(int(rng.integers(1, 4))))


def _plug(dealt: Slot, of: Look, rng: np.random.Generator) -> PlugChoice:
    condition = dealt.condition
    shares: tuple[tuple[str, float], ...] = ()
    if condition is not None:
        shares = ((condition, 1.0),)
        if dealt.mixed:
            shares = _mixture(condition, rng)
    shown = common()["findings"]
    allowed = shown["with"][condition or "none"]
    many = 1 if condition is None else int(rng.random() < shown["one"])
    many += int(many > 0 and rng.random() < shown["two"])
    findings = tuple(str(f) for f in rng.choice(allowed, many, replace=False))
    family, palette = str(rng.choice(of.families)), str(rng.choice(of.palettes))
    return PlugChoice(condition, shares, findings, family, palette, dealt.pale)


def _mixture(condition: str, rng: np.random.Generator) -> tuple[tuple[str, float], ...]:
    meets = [p for p in common()["mixtures"]["pairs"] if condition in p]
    pair = meets[int(rng.integers(len(meets)))]
    other = pair[1] if pair[0] == condition else pair[0]
    greater = round(float(rng.uniform(*common()["mixtures"]["greater"])), 3)
    return (condition, greater), (str(other), round(1 - greater, 3))


def _over_card(rng: np.random.Generator, width: int, height: int) -> Standpoint:
    """Above a bench card with a plug in its seat; now and then too close for all of the card."""
    distance = float(rng.uniform(200, 320))
    fov = float(np.degrees(2 * np.arctan(rng.uniform(60, 115) / distance)))
    tilt, azimuth = float(rng.uniform(3, 28)), float(rng.uniform(0, 360))
    aperture, roll = float(rng.uniform(0.2, 1.0)), float(rng.uniform(0, 360))
    return Standpoint(tilt, azimuth, distance, fov, width, height, aperture, roll)
