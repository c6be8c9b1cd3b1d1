"""What a person says of the light, beside the photo."""

from dataclasses import dataclass

from tipvision.light.chart.editions import LATEST
from tipvision.light.stored import StoredLight

CARD_REFLECTANCE = 0.18  # of a photographer's grey card (common practice, no published source)


class LightError(Exception):
    """What was said of the light cannot be used with this photo; one line says what to do."""


@dataclass(frozen=True)
class Said:
    """All of it may stay unsaid.

    declared:         an illuminant or kelvin, as `declared_light` takes it.
    stored:           a light that was kept by that person from a photo of the chart.
    grey_point:       x, y in displayed pixels, a point on the grey card.
    grey_reflectance: of that card, or of one that is found, 0 to 1.
    chart_edition:    which print of the 24-patch chart a chart in the photo is.
    """

    declared: str | None = None
    stored: StoredLight | None = None
    grey_point: tuple[float, float] | None = None
    grey_reflectance: float = CARD_REFLECTANCE
    chart_edition: str = LATEST
