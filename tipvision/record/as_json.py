"""A Reading as one JSON object, exactly as the schema of this version has it."""

import json
from typing import Any

import numpy as np

from tipvision.causes.explanation import Explanation
from tipvision.condition.condition import Condition
from tipvision.light.light import Light, grey_sd
from tipvision.measure.measurement import Measurement
from tipvision.record import SCHEMA_VERSION
from tipvision.record.reading import Reading, Together
from tipvision.tip.tip import Tip


def to_json(reading: Reading) -> str:
    """The record as one line of JSON, without a line end; ASCII, so that no output garbles it."""
    return json.dumps(to_record(reading), allow_nan=False)


def to_record(reading: Reading) -> dict[str, Any]:
    """The record as plain Python values; what was not reached is null."""
    condition, explanation = reading.condition, reading.explanation
    return {
        "schema": SCHEMA_VERSION,
        "photo": reading.photo,
        "outcome": reading.outcome,
        **_condition(condition),
        "colour": _colour(reading.measurement),
        "light": _light(reading.light),
        "tip": _tip(reading.tips),
        "plug": None if reading.plug is None else {"n": reading.plug[0], "of": reading.plug[1]},
        "photos": None if reading.outcome == "unreadable" else list(_photos(reading)),
        "reasons": [{"code": r.code, "text": r.text, "remedy": r.remedy} for r in reading.reasons],
        **_explanation(explanation),
        "model": reading.model,
        **_together(reading.together),
    }


def _photos(reading: Reading) -> tuple[str, ...]:
    return (reading.photo,) if reading.together is None else reading.together.photos


def _together(together: Together | None) -> dict[str, Any]:
    """Only where several photos were given: the record of one photo has no such key."""
    if together is None:
        return {}
    left_out = [{"photo": photo, "codes": list(codes)} for photo, codes in together.left_out]
    return {"same_plug": {"measured": together.measured, "left_out": left_out}}


def _condition(condition: Condition | None) -> dict[str, Any]:
    if condition is None:
        keys = ("condition", "probabilities", "possible", "coverage", "findings")
        return dict.fromkeys(keys)
    return {
        "condition": condition.label,
        "probabilities": _rounded_shares(dict(condition.probabilities)),
        "possible": list(condition.possible),
        "coverage": condition.coverage,
        "findings": {
            name: None if p is None else round(p, 4) for name, p in condition.findings.items()
        },
    }


def _rounded_shares(shares: dict[str, float]) -> dict[str, float]:
    """Four decimals that still sum to 1: the rounding's remainder goes to the largest."""
    rounded = {name: round(p, 4) for name, p in shares.items()}
    largest = max(rounded, key=lambda name: rounded[name])
    rest = sum(p for name, p in rounded.items() if name != largest)
    rounded[largest] = round(1.0 - rest, 4)
    return rounded


def _colour(measurement: Measurement | None) -> dict[str, Any] | None:
    if measurement is None:
        return None
    return {
        "lab": hundredths(measurement.lab),
        "sd": hundredths(measurement.sd),
        "illuminant": "D65",
        "observer": "2",
        "bands": {name: round(d, 2) for name, d in measurement.bands.items()},
        "shares": _rounded_shares(dict(measurement.shares)),
        "shine": round(measurement.shine, 3),
        "texture": round(measurement.texture, 3),
        "evenness": round(measurement.evenness, 3),
        "specks": round(measurement.specks, 4),
        "glare": round(measurement.glare, 4),
        "clipped": round(measurement.clipped, 4),
    }


def _light(light: Light | None) -> dict[str, Any] | None:
    if light is None:
        return None
    return {
        "source": light.source,
        "cct_k": None if light.cct_k is None else round(light.cct_k),
        "grey_sd": hundredths(grey_sd(light)),
        "px_per_mm": None if light.px_per_mm is None else round(light.px_per_mm, 3),
    }


def _tip(tips: tuple[Tip, ...]) -> dict[str, Any] | None:
    if not tips:
        return None
    one = tips[0] if len(tips) == 1 else None
    return {
        "outlines": [
            [[round(float(x), 1), round(float(y), 1)] for x, y in ring]
            for tip in tips
            for ring in tip.outlines
        ],
        "nose_px": None if one is None else round(one.nose_px, 1),
        "view": None if one is None else one.view,
        "by_hand": None if one is None else one.by_hand,
    }


def _explanation(explanation: Explanation | None) -> dict[str, Any]:
    if explanation is None:
        return dict.fromkeys(("causes", "checks", "advice", "cautions", "verdict"))
    return {
        "causes": [
            {
                "id": cause.id,
                "text": cause.text,
                "rank": cause.rank_word,
                "probability": round(cause.probability, 4),
            }
            for cause in explanation.causes
        ],
        "checks": [
            {
                "id": check.id,
                "text": check.text,
                "minutes": check.minutes,
                "cautions": list(check.cautions),
            }
            for check in explanation.checks
        ],
        "advice": [{"id": s.id, "text": s.text} for s in explanation.advice],
        "cautions": [{"id": s.id, "text": s.text} for s in explanation.cautions],
        "verdict": {"plug": explanation.verdict.plug, "engine": explanation.verdict.engine},
    }


def hundredths(values: np.ndarray[Any, np.dtype[np.float64]]) -> list[float]:
    """Values as the record has them."""
    return [round(float(v), 2) for v in values]
