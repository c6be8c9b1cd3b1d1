"""Several photos of one plug become one reading."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tipvision.causes.explain import explain
from tipvision.condition.features import features_of
from tipvision.condition.judge import shows_heat, usual_values
from tipvision.condition.model import Model
from tipvision.condition.retake import AGAIN, retake
from tipvision.condition.together import together
from tipvision.measure.bands import load_bands
from tipvision.reading import Ask
from tipvision.record.reading import Reading, Together
from tipvision.record.reason import Reason

REACHED = ("unclear", "not_a_plug", "unreadable")  # the first of these that a photo comes to stands


def same_plug(readings: Sequence[Reading], ask: Ask, model: Model) -> Reading:
    """One reading of photos that show one plug.

    readings: one of each photo, as `reading.read` gives them under the same `ask` and `model`.

    Only photos that no gate speaks against count; the others are left out and named in `together`.
    Where gates speak against all of them they count all the same, but the outcome is "unclear" for
    all their reasons; so it is where none was measured. How probabilities and findings come
    together, and when photos disagree, is said in `condition.together`.

    Colour, light and outlines are those of the photo whose colour has the least doubt, and are not
    averaged: photos of one plug share most of their error, so a mean would be hardly surer, and no
    picture would show it.

    Raises ValueError for fewer than two readings.
    """
    if len(readings) < 2:
        raise ValueError("it takes two photos or more to be read as one plug")
    measured = [one for one in readings if one.condition is not None]
    voices = [one for one in measured if not gated(one)] or measured
    if voices:
        one = _read_together(readings, voices, ask, model)
    else:
        one = min(readings, key=lambda r: (REACHED.index(r.outcome), r.photo))
        one = replace(one, reasons=tuple(_told_by_all(readings)))
    left_out = tuple(
        (reading.photo, tuple(reason.code for reason in gated(reading)))
        for reading in readings
        if not any(reading is voice for voice in voices)
    )
    photos = tuple(reading.photo for reading in readings)
    return replace(one, photo=photos[0], together=Together(photos, one.photo, left_out))


def gated(reading: Reading) -> tuple[Reason, ...]:
    """What speaks against the photo, whatever the model says of the plug."""
    of_plug = () if reading.condition is None else reading.condition.reasons
    return tuple(reason for reason in reading.reasons if reason not in of_plug)


def _read_together(
    readings: Sequence[Reading], voices: Sequence[Reading], ask: Ask, model: Model
) -> Reading:
    """The reading of the voices, all of them measured; its photo is the one that is measured."""
    best = min(voices, key=lambda one: (_doubt(one), one.photo))
    condition = together(
        [one.condition for one in voices if one.condition is not None],
        any(_heated(one, model) for one in voices),
        model,
        retake(best.tips[0], best.light) if best.light else AGAIN,
    )
    if best.condition is not None and best.condition.label == condition.label:
        condition = replace(condition, evidence=best.condition.evidence)
    gates = tuple(_told_by_all(readings)) if any(map(gated, voices)) else ()
    reasons = (*gates, *condition.reasons)
    return replace(
        best,
        outcome="unclear" if reasons else "read",
        reasons=reasons,
        condition=condition,
        explanation=explain(replace(condition, reasons=reasons), ask.engine, ask.facts),
    )


def _told_by_all(readings: Sequence[Reading]) -> list[Reason]:
    """What speaks against each photo, with the photo's number in the order given."""
    return [
        replace(reason, text=f"Photo {number}: {reason.text}")
        for number, reading in enumerate(readings, 1)
        for reason in gated(reading)
    ]


def _heated(reading: Reading, model: Model) -> bool:
    if reading.measurement is None:
        return False
    return shows_heat(usual_values(features_of(reading.measurement, load_bands())), model)


def _doubt(reading: Reading) -> float:
    """Variance of the colour, summed over L*, a* and b*."""
    return np.inf if reading.measurement is None else float((reading.measurement.sd**2).sum())
