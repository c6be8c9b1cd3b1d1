"""One row a plug: what the tables hold of a batch."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tipvision.batch.store.entry import Entry
from tipvision.report.answer import standing


def _column(meaning: str) -> Any:
    """A column that is empty unless it is told, with what it means."""
    return field(default=None, metadata={"meaning": meaning})


@dataclass(frozen=True)
class Row:
    """One plug, or one file that gave no reading; each field is a column of the tables.

    Codes are those of the record; several in one field stand with a space between them.
    """

    file: str = field(metadata={"meaning": "as it was listed"})
    state: str = field(metadata={"meaning": "outcome of the record, or duplicate, or skipped"})
    machine: str | None = _column("from the folder or the file name")
    cylinder: int | None = _column("from the file name")
    plug: int | None = _column("number of this plug in the photo, from 1")
    plugs: int | None = _column("how many plugs the photo shows")
    condition: str | None = _column("the most probable; empty where none fits")
    probability: float | None = _column("of the condition, or that none fits; 0 to 1")
    possible: str | None = _column("labels that the photo allows")
    findings: str | None = _column("those that stand, most probable first")
    lab_l: float | None = _column("L* of the nose, CIELAB, D65, 2° observer")
    lab_a: float | None = _column("a* of the nose")
    lab_b: float | None = _column("b* of the nose")
    sd_l: float | None = _column("standard deviation of L*")
    sd_a: float | None = _column("standard deviation of a*")
    sd_b: float | None = _column("standard deviation of b*")
    nearest_band: str | None = _column("reference band whose mean is nearest by CIEDE2000")
    band_distance: float | None = _column("CIEDE2000 to that mean")
    nose_px: float | None = _column("width of the nose in pixels of the photo")
    view: str | None = _column("end_on, oblique or side")
    light: str | None = _column("what told the light")
    cct_k: int | None = _column("correlated colour temperature of the light, kelvin")
    plug_verdict: str | None = _column("refit, clean, replace or check")
    engine_verdict: str | None = _column("run, not_under_load, do_not_start or check")
    first_cause: str | None = _column("id of the most probable cause")
    reasons: str | None = _column("codes of what spoke against an answer")
    model: str | None = _column("name and version of the model that judged")
    digest: str | None = _column("SHA-256 of the file's content, hex")
    same_as: str | None = _column("the file whose content this one repeats")


def rows_of(entry: Entry) -> tuple[Row, ...]:
    """The rows of one photo: one for each of its records, else one that says why there is none."""
    common: dict[str, Any] = {
        "file": entry.name,
        "machine": entry.machine,
        "cylinder": entry.cylinder,
        "digest": entry.digest or None,
        "same_as": entry.same_as,
    }
    if not entry.records:
        return (Row(state=entry.state, **common),)
    return tuple(Row(**common, **_read_from(record)) for record in entry.records)


def _read_from(record: Mapping[str, Any]) -> dict[str, Any]:
    colour, tip, light = (record[key] or {} for key in ("colour", "tip", "light"))
    plug, verdict, model = (record[key] or {} for key in ("plug", "verdict", "model"))
    probabilities, findings = (record[key] or {} for key in ("probabilities", "findings"))
    bands, causes = colour.get("bands") or {}, record["causes"] or ()
    nearest = min(bands, key=bands.__getitem__, default=None)
    lab, sd = (colour.get(key) or (None, None, None) for key in ("lab", "sd"))
    return {
        "state": record["outcome"],
        "plug": plug.get("n"),
        "plugs": plug.get("of"),
        "condition": record["condition"],
        "probability": probabilities.get(record["condition"] or "none"),
        "possible": _listed(record["possible"] or ()),
        "findings": _listed(name for name, _ in standing(findings)),
        **dict(zip(("lab_l", "lab_a", "lab_b"), lab, strict=True)),
        **dict(zip(("sd_l", "sd_a", "sd_b"), sd, strict=True)),
        "nearest_band": nearest,
        "band_distance": bands.get(nearest),
        "nose_px": tip.get("nose_px"),
        "view": tip.get("view"),
        "light": light.get("source"),
        "cct_k": light.get("cct_k"),
        "plug_verdict": verdict.get("plug"),
        "engine_verdict": verdict.get("engine"),
        "first_cause": causes[0]["id"] if causes else None,
        "reasons": _listed([reason["code"] for reason in record["reasons"]]),
        "model": _listed(model.values()),
    }


def _listed(codes: Any) -> str | None:
    return " ".join(codes) or None
