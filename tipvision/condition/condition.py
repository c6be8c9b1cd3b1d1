"""The condition of a plug, as probabilities and as the answers that the photo allows."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from tipvision.condition.evidence import Evidence
from tipvision.record.reason import Reason

CONDITIONS = ("normal", "dry_black", "wet_black", "chalk_white", "unused")
LABELS = (*CONDITIONS, "none")  # "none": only findings describe the plug
FINDINGS = (
    "fuel_wet",
    "ash",
    "glazed",
    "bridged",
    "worn",
    "cracked",
    "pre_ignition",
    "detonation",
    "metal_specks",
    "coloured",
    "coolant",
    "dust",
    "mechanical",
    "uneven",
)


@dataclass(frozen=True)
class Condition:
    """What the model says of one measurement.

    label:         the most probable condition; None when that is "none".
    probabilities: over `LABELS`, summing to 1.
    possible:      the labels that the photo allows at `coverage`, most probable first, never empty.
    coverage:      0 to 1, how often `possible` is meant to hold the truth.
    findings:      over `FINDINGS`, each 0 to 1, or None where no model was trained for it.
    evidence:      what decided between the label and the next; None where several photos did.
    reasons:       why the label does not stand alone.
    """

    label: str | None
    probabilities: Mapping[str, float]
    possible: tuple[str, ...]
    coverage: float
    findings: Mapping[str, float | None]
    evidence: Evidence | None = None
    reasons: tuple[Reason, ...] = field(default=())
