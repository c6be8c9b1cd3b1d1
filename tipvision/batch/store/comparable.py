"""The part of a reading that plugs of one engine are compared by, small enough to be kept.

Numbers only, in NumPy's own format read without pickle, so that a batch from elsewhere can carry
nothing that runs.
"""

import io
import json
from typing import Any

import numpy as np

from tipvision.condition.condition import Condition
from tipvision.light.correction import Correction
from tipvision.light.light import Light
from tipvision.measure.measurement import Measurement
from tipvision.photo.box import Box
from tipvision.record.reading import Reading
from tipvision.record.reason import Reason
from tipvision.tip.tip import Tip


def packed(reading: Reading) -> bytes | None:
    """What `comparison.odd_one.compare` uses of a reading; None of one that was not measured."""
    measured, light, condition = reading.measurement, reading.light, reading.condition
    if measured is None or light is None or condition is None:
        return None
    words = {
        "photo": reading.photo,
        "outcome": reading.outcome,
        "label": condition.label,
        "possible": condition.possible,
        "reasons": [reason.code for reason in reading.reasons],
        "light": light.source,
        "degree": light.correction.degree,
        "samples_degree": light.samples.degree,
        "view": reading.tips[0].view,
    }
    numbers = {
        "lab": measured.lab,
        "sd": measured.sd,
        "samples": measured.samples,
        "matrix": light.correction.matrix,
        "tone": light.correction.tone,
        "samples_matrix": light.samples.matrix,
        "samples_tone": light.samples.tone,
    }
    arrays: dict[str, Any] = {name: one.astype(np.float32) for name, one in numbers.items()}
    held = io.BytesIO()
    np.savez_compressed(held, words=np.frombuffer(json.dumps(words).encode(), np.uint8), **arrays)
    return held.getvalue()


def unpacked(held: bytes) -> Reading:
    """A Reading with what `packed` kept, good for `compare` alone: the rest is empty."""
    with np.load(io.BytesIO(held), allow_pickle=False) as arrays:
        kept = {name: arrays[name] for name in arrays.files}
    words = json.loads(kept.pop("words").tobytes())
    kept = {name: array.astype(np.float64) for name, array in kept.items()}
    nothing = np.empty((0, 3))
    return Reading(
        photo=words["photo"],
        outcome=words["outcome"],
        reasons=tuple(Reason(code, "", "") for code in words["reasons"]),
        light=Light(
            words["light"],
            Correction(kept["matrix"], words["degree"], kept["tone"]),
            Correction(kept["samples_matrix"], words["samples_degree"], kept["samples_tone"]),
        ),
        tips=(Tip(Box(0, 0, 0, 0), np.empty((0, 0), np.uint8), (), 0.0, words["view"], 0.0),),
        measurement=Measurement(
            lab=kept["lab"],
            sd=kept["sd"],
            samples=kept["samples"],
            zones=nothing,
            weights=np.empty(0),
            bands={},
            shares={},
            shine=np.nan,
            texture=np.nan,
            evenness=np.nan,
            specks=np.nan,
            glare=np.nan,
            clipped=np.nan,
        ),
        condition=Condition(words["label"], {}, tuple(words["possible"]), np.nan, {}),
    )
