"""The light of a photo, from the best that is known of it."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tipvision.light.bench_card import light_of_card
from tipvision.light.chart.editions import edition_of
from tipvision.light.chart.find import find_chart
from tipvision.light.declared import declared_light
from tipvision.light.estimate import estimated_light
from tipvision.light.find_card import CardView, find_bench_card
from tipvision.light.find_grey import find_grey_card
from tipvision.light.grey_card import light_of_grey
from tipvision.light.light import Light
from tipvision.light.pointed_grey import grey_around
from tipvision.light.said import LightError, Said
from tipvision.light.stored import conditions_of, light_of_stored
from tipvision.photo.photo import Photo


def know_light(
    photo: Photo, overview: NDArray[np.uint8], said: Said
) -> tuple[Light, CardView | None]:
    """The light of a photo and, where it shows the bench card, how that lies.

    What was measured in this very photo wins over what was measured before, and that over what a
    person says of the lamp: 24-patch chart, bench card, grey card, stored light, declared lamp,
    and last a guess. What could have told the light and did not leaves a note. The bench card
    gives the scale whichever of them tells the light.

    overview: uint8 (h, w, 3), RGB encoded as sRGB, of the whole displayed photo.
    Raises ValueError when `said` names a lamp or an edition that does not exist, LightError when
    its grey point does not fit this photo, PhotoFault for a damaged photo.
    """
    edition_of(said.chart_edition)  # wrong names are told whether they are needed or not
    named = None
    if said.declared is not None:
        told = photo.metadata
        named = declared_light(said.declared, told.white_balance, told.flash_fired)
    if said.grey_point is not None:
        _must_lie_inside(said.grey_point, photo.size)
    card = find_bench_card(overview, photo.size)
    light, notes = _measured(photo, overview, said, card)
    if light is None and said.stored is not None:
        light = light_of_stored(said.stored, conditions_of(photo.metadata, overview))
    light = light or named or estimated_light(overview)
    if card is not None:
        light = replace(light, card_corners=card.corners, px_per_mm=card.px_per_mm)
    return replace(light, notes=(*light.notes, *notes)), card


def _measured(
    photo: Photo, overview: NDArray[np.uint8], said: Said, card: CardView | None
) -> tuple[Light | None, tuple[str, ...]]:
    """The light by something in this photo, or None, and what did not serve."""
    notes: list[str] = []
    view = find_chart(overview, photo.size)
    if view is not None:
        # only photos with a chart pay for it
        from tipvision.light.from_chart import fit_of_chart, light_of_chart

        fit = fit_of_chart(photo, view, said.chart_edition)
        light = light_of_chart(fit)
        if light is not None:
            return light, ()
        notes.append(f"The 24-patch chart in the photo was not used: {fit.reason}")
    if card is not None:
        light = light_of_card(overview, card)
        if light is not None:
            return light, tuple(notes)
    if said.grey_point is not None:
        grey = grey_around(overview, photo.size, said.grey_point)
    else:
        # A chart or bench card that told nothing has grey sheets of its own.
        grey = None if view or card else find_grey_card(overview, photo.size)
    if grey is not None:
        told = light_of_grey(photo, grey, said.grey_reflectance)
        if isinstance(told, Light):
            return told, tuple(notes)
        notes.append(f"The grey card in the photo was not used: {told}.")
    elif said.grey_point is not None:
        notes.append("The grey card in the photo was not used: nothing even lies at that point.")
    return None, tuple(notes)


def _must_lie_inside(point: tuple[float, float], size: tuple[int, int]) -> None:
    if not (0 <= point[0] < size[0] and 0 <= point[1] < size[1]):
        raise LightError(
            f"The point {point[0]:g},{point[1]:g} of --grey-card lies outside this photo of "
            f"{size[0]} x {size[1]} pixels."
        )
