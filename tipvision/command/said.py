"""What the options of `tipvision read` say of the light."""

import argparse
import math

from tipvision.colour.illuminants import white_of
from tipvision.light.chart.editions import edition_of
from tipvision.light.said import Said
from tipvision.light.store import load


def said_of(options: argparse.Namespace) -> Said:
    """The light as it was said.

    Raises ValueError, with the right form, for an option that says nothing, StoreError for a stored
    light that is not there or cannot be used.
    """
    if options.light is not None:
        white_of(options.light)
    edition_of(options.chart_edition)
    return Said(
        declared=options.light,
        stored=None if options.stored_light is None else load(options.stored_light),
        grey_point=None if options.grey_card is None else _point(options.grey_card),
        grey_reflectance=_reflectance(options.grey_reflectance),
        chart_edition=options.chart_edition,
    )


def _point(text: str) -> tuple[float, float]:
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        x, y = math.nan, math.nan
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError(f"--grey-card takes a point as X,Y in pixels, not '{text}'.")
    return x, y


def _reflectance(text: str) -> float:
    try:
        share = float(text)
    except ValueError:
        share = math.nan
    if not 0.02 <= share <= 1.0:
        raise ValueError(f"--grey-reflectance takes a share from 0.02 to 1, not '{text}'.")
    return share
