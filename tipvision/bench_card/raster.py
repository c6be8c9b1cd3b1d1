"""The bench card as pixels: what a flat, evenly lit, perfectly printed card looks like."""

import math

import numpy as np
from numpy.typing import NDArray

from tipvision.bench_card.layout import TICK_HEIGHT_MM, Area, load_layout
from tipvision.bench_card.markers import marker_modules

WHITE, BLACK = 255, 0


def raster_card(px_per_mm: float, window: int, seat: int) -> NDArray[np.uint8]:
    """The printed card without its lettering, for rendering and for tests.

    px_per_mm: scale, more than 0; a whole multiple of 0.5 puts module edges on pixel edges.
    window:    grey value 0 to 255 that shows through the four windows.
    seat:      grey value 0 to 255 in the seat hole (the narrow one).
    Returns uint8 (height, width): paper 255, ink 0. The values are levels of the caller's own
    encoding; nothing is linearised here.
    """
    layout = load_layout()
    shape = round(layout.height * px_per_mm), round(layout.width * px_per_mm)
    card = np.full(shape, WHITE, np.uint8)
    for marker in layout.markers:
        step, (x, y) = marker.module, marker.area.corners[0]
        for row, column in np.argwhere(marker_modules(layout.dictionary, marker.id)):
            module = Area(x + column * step, y + row * step, step, step)
            card[_slices(module, px_per_mm)] = BLACK
    for place in layout.windows:
        card[_slices(place.area, px_per_mm)] = window
    rows, columns = (
        (np.arange(n) + 0.5) / px_per_mm - centre
        for n, centre in zip(shape, reversed(layout.seat.centre), strict=True)
    )
    hole = np.hypot(columns[None, :], rows[:, None]) <= layout.seat.cut_diameter / 2
    card[hole] = seat
    zero, line = layout.ruler.start
    for mm in range(math.floor(layout.ruler.length) + 1):
        top = line - tick_height(mm)
        card[_slices(Area(zero + mm - 0.1, top, 0.2, line - top), px_per_mm)] = BLACK
    return card


def tick_height(mm: int) -> float:
    """Height of the ruler's tick at this many millimetres, mm."""
    return TICK_HEIGHT_MM if mm % 10 == 0 else 2.2 if mm % 5 == 0 else 1.4


def _slices(area: Area, px_per_mm: float) -> tuple[slice, slice]:
    (x0, y0), _, (x1, y1), _ = area.corners
    return (
        slice(round(y0 * px_per_mm), round(y1 * px_per_mm)),
        slice(round(x0 * px_per_mm), round(x1 * px_per_mm)),
    )
