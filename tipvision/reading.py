"""From a photo to its reading: the whole way of the data, station by station."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import floor

from tipvision.causes.explain import explain
from tipvision.causes.explanation import Engine
from tipvision.condition.judge import judge, kept_open
from tipvision.condition.model import Model, default_model
from tipvision.condition.retake import retake
from tipvision.light.at_the_nose import default_nose_light
from tipvision.light.know import know_light
from tipvision.light.light import Light
from tipvision.light.said import Said
from tipvision.measure.bands import load_bands
from tipvision.measure.coat import default_coat_nets
from tipvision.measure.measure import measure
from tipvision.measure.reduced import window_on
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import Photo, open_photo
from tipvision.record.reading import Reading
from tipvision.record.reason import reason
from tipvision.tip.closer import full_pixels
from tipvision.tip.gates import LEAST_NOSE_PX, gates
from tipvision.tip.hint import Hint
from tipvision.tip.outline import Outline, outlined
from tipvision.tip.search import parts_round, search_tips
from tipvision.tip.tip import Tip, TipSearch

MAYBE_A_PLUG = 0.25  # likelihood of a plug from which "not found" is said instead of "none there"
EVERY_PLUG = 0


@dataclass(frozen=True)
class Ask:
    """What a person says beside the photo; all of it may stay unsaid.

    outline: the nose, outlined by hand.
    light:   what that person knows of the light.
    plug:    number of the plug to read where there are several, `EVERY_PLUG` for each of them.
    engine:  facts of the engine, for the causes.
    facts:   results of checks and what was told, by the ids of `causes/knowledge/facts.toml`.
    """

    outline: Outline | None = None
    light: Said = field(default_factory=Said)
    plug: int | None = None
    engine: Engine = field(default_factory=Engine)
    facts: Mapping[str, str] = field(default_factory=dict)


def read(path: str, ask: Ask = Ask(), model: Model | None = None) -> tuple[Reading, ...]:
    """Read one photo: one Reading, or one for each plug of it.

    Never raises for what is in the file: a photo that cannot be opened is a Reading too.
    Raises OutlineError or LightError when the outline or the point on the grey card does not fit
    the photo, ValueError for an unknown lamp or chart edition or facts that do not fit, and
    KnowledgeError where the shop's own knowledge is wrong.
    """
    try:
        return read_photo(open_photo(path), ask, model or default_model())
    except PhotoFault as fault:
        return (Reading(path, "unreadable", reasons=(fault.reason,)),)


def read_photo(photo: Photo, ask: Ask, model: Model) -> tuple[Reading, ...]:
    """Read an open photo; raises PhotoFault where it turns out damaged, else as `read`."""
    overview = photo.overview()
    light, card = know_light(photo, overview, ask.light)
    if ask.outline is not None:
        drawn = outlined(ask.outline, overview, photo.size)
        tip = parts_round(drawn, overview, photo.size, full_pixels(photo))
        search = TipSearch((tip,), plug_likely=1.0)
    else:
        hint = None if card is None else Hint(tuple(card.seat.tolist()), card.px_per_mm)
        search = search_tips(overview, photo.size, hint, full_pixels(photo))
    readings = _readings(photo, light, search, ask, model)
    return tuple(replace(reading, size=photo.size) for reading in readings)


def _readings(
    photo: Photo, light: Light, search: TipSearch, ask: Ask, model: Model
) -> list[Reading]:
    tips = search.tips
    if not tips and search.plug_likely < MAYBE_A_PLUG:
        return [Reading(photo.name, "not_a_plug", (reason("no_plug"),), light)]
    if not tips:
        return [Reading(photo.name, "unclear", (reason("tip_not_found"),), light)]
    numbers = _picked(ask.plug, len(tips))
    if not numbers:
        fault = "none was picked" if ask.plug is None else f"there is no number {ask.plug}"
        several = reason("several_plugs", count=len(tips), fault=fault)
        return [Reading(photo.name, "unclear", (several,), light, tips, plug=(None, len(tips)))]
    return [
        replace(_read_plug(photo, light, tips[n - 1], ask, model), plug=(n, len(tips)))
        for n in numbers
    ]


def _picked(plug: int | None, count: int) -> range:
    """Numbers of the plugs to read; empty when a person still has to pick one."""
    if plug == EVERY_PLUG or (plug is None and count == 1):
        return range(1, count + 1)
    return range(plug, plug + 1) if plug is not None and 1 <= plug <= count else range(0)


def _read_plug(photo: Photo, light: Light, tip: Tip, ask: Ask, model: Model) -> Reading:
    window = window_on(photo, tip)
    gated = (*light.reasons, *gates(tip, window.linear, window.clipped))
    measurement = measure(
        window, tip, light, load_bands(), default_nose_light(), default_coat_nets()
    )
    if measurement is None:
        reasons = gated or (reason("too_small", nose_px=floor(tip.nose_px), least=LEAST_NOSE_PX),)
        return Reading(photo.name, "unclear", reasons, light, (tip,))
    condition = kept_open(judge(measurement, model, retake(tip, light)), gated)
    reasons = (*gated, *condition.reasons)
    return Reading(
        photo=photo.name,
        outcome="unclear" if reasons else "read",
        reasons=reasons,
        light=light,
        tips=(tip,),
        measurement=measurement,
        condition=condition,
        explanation=explain(replace(condition, reasons=reasons), ask.engine, ask.facts),
        model={"name": model.name, "version": model.version},
    )
