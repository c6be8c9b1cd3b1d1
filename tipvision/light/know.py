"""The light of a photo, from the best that is known of it."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tipvision.light.bench_card import light_of_card
from tipvision.light.declared import declared_light
from tipvision.light.estimate import estimated_light
from tipvision.light.find_card import CardView, find_bench_card
from tipvision.light.light import Light


def know_light(
    overview: NDArray[np.uint8],
    size: tuple[int, int],
    metadata_white_balance: str | None,
    declared: str | None,
) -> tuple[Light, CardView | None]:
    """The light of a photo and, where it shows the bench card, how that lies.

    A bench card whose windows can be read wins over what a person says of the lamp, because it
    was measured in this very photo; a lamp that was named wins over a guess. The two are not held
    against each other: after a camera's own white balance they can differ and both be true. A card
    whose windows cannot be read still gives the scale.

    overview: uint8 (h, w, 3), RGB encoded as sRGB, of the whole displayed photo.
    size:     (width, height) of the displayed photo, pixels.
    metadata_white_balance: "manual", "auto", or None where the photo does not say.
    declared: an illuminant or kelvin, as `declared_light` takes it; None when nothing was said.
    Raises ValueError when `declared` stands for no lamp, card or not.
    """
    said = None if declared is None else declared_light(declared, metadata_white_balance)
    card = find_bench_card(overview, size)
    if card is None:
        return said or estimated_light(overview), None
    light = light_of_card(overview, card)
    if light is None:
        light = replace(
            said or estimated_light(overview),
            card_corners=card.corners,
            px_per_mm=card.px_per_mm,
        )
    return light, card
