"""Sets of readings made by hand, all in one photo, for reports of an engine."""

from dataclasses import replace

from tests.report import samples
from tipvision.causes.explanation import Cause, Explanation, Verdict
from tipvision.record.reading import Reading
from tipvision.report.contents import Shown

LABELS = ("cylinder 1", "cylinder 2", "cylinder 3", "cylinder 4")


def plug(lightness: float, label: str = "normal", causes: tuple[Cause, ...] = ()) -> Reading:
    """A plug that was read, under the light that all plugs of `four` have."""
    explanation: Explanation = replace(
        samples.EXPLANATION, causes=causes, verdict=Verdict("refit", "run")
    )
    return replace(
        samples.READ,
        photo="/home/shop/SX-01.jpg",
        measurement=samples.measurement((lightness, 3.0, 12.0), lightness_sd=3.0),
        condition=samples.condition(label, {label: 0.94, "unused": 0.06}, label),
        explanation=explanation,
    )


OWN = Cause("injector_leaking", "The injector leaks or is stuck open.", 0.3, "likely")
SHARED = Cause("air_filter_dirty", "The air filter is dirty or over-oiled.", 0.4, "likely")

ONE_DARK = (plug(64.0), plug(66.0), plug(20.0, "dry_black", (SHARED, OWN)), plug(63.0))
ALL_DARK = tuple(plug(value, "dry_black", (SHARED, OWN)) for value in (21.0, 22.0, 20.0, 22.5))


def shown(readings: tuple[Reading, ...]) -> list[Shown]:
    return [Shown(one, samples.picture(), "2026:05:12 08:11:00") for one in readings]
