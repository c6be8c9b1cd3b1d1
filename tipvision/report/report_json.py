"""A report as JSON: the records of its plugs, and what they say together."""

import json
import ntpath
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from tipvision import __version__
from tipvision.causes.explanation import Engine
from tipvision.comparison.odd_one import compare
from tipvision.comparison.set_causes import SetCause, set_causes
from tipvision.comparison.trend import REACH, Trend
from tipvision.record.as_json import to_record
from tipvision.report.contents import Shown
from tipvision.report.set_words import comparison_words, trend_words
from tipvision.report.shop import Shop

FORMAT = 1


def report_json(
    shown: Sequence[Shown],
    labels: Sequence[str],
    engine: Engine,
    facts: Mapping[str, str],
    shop: Shop,
    trend: Trend | None = None,
    missing: Sequence[str] = (),
) -> str:
    """One JSON object, ASCII, with a line end. Photos are named without their folders.

    labels: what each plug is called; "" for a plug alone. facts: what was found or told of the
    engine, results by the ids that `tipvision facts` lists. missing: photos that are left out, as
    they could not be opened.
    """
    report = {
        "report": FORMAT,
        "tool": f"tipvision {__version__}",
        "shop": shop.name,
        "engine": {key: value for key, value in asdict(engine).items() if value is not None},
        "facts": dict(facts),
        "plugs": [
            {"label": label or None, "taken": one.taken, "record": _record(one)}
            for label, one in zip(labels, shown, strict=True)
        ],
        "left_out": [ntpath.basename(photo) for photo in missing],
        "together": _together(shown, labels) if len(shown) > 1 else None,
        "trend": None if trend is None else _trend(trend),
    }
    return json.dumps(report, allow_nan=False, indent=1) + "\n"


def _record(one: Shown) -> dict[str, Any]:
    record = to_record(one.reading)
    record["photo"] = ntpath.basename(record["photo"])
    if record["photos"] is not None:
        record["photos"] = [ntpath.basename(photo) for photo in record["photos"]]
    if "same_plug" in record:
        same = record["same_plug"]
        same["measured"] = ntpath.basename(same["measured"])
        for left in same["left_out"]:
            left["photo"] = ntpath.basename(left["photo"])
    return record


def _together(shown: Sequence[Shown], labels: Sequence[str]) -> dict[str, Any]:
    readings = [one.reading for one in shown]
    comparison = compare(readings)
    causes = set_causes(readings, comparison)
    return {
        "sentences": list(comparison_words(readings, labels, comparison)),
        "apart": [
            {
                "label": labels[apart.plug],
                "light_ratio": float(f"{apart.light_ratio[0]:.3g}"),
                "interval": [float(f"{end:.3g}") for end in apart.light_ratio[1:]],
                "p": float(f"{apart.p:.3g}"),
            }
            for apart in comparison.by_colour
        ],
        "apart_by_condition": [labels[plug] for plug in comparison.by_condition],
        "causes_of_one": [_cause(cause, labels) for cause in causes.own],
        "causes_shared": [_cause(cause, labels) for cause in causes.shared],
    }


def _cause(cause: SetCause, labels: Sequence[str]) -> dict[str, Any]:
    return {
        "id": cause.id,
        "text": cause.text,
        "probability": round(cause.probability, 4),
        "plugs": [labels[plug] for plug in cause.plugs],
    }


def _trend(trend: Trend) -> dict[str, Any]:
    return {
        "sentence": trend_words(trend),
        "readings": len(trend.readings),
        "lightness_change": round(trend.change, 2),
        "half_width": round(REACH * trend.sd, 2),
    }
