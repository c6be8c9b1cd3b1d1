"""The card as pixels: everything at its place and size."""

import numpy as np
import pytest

from tipvision.bench_card.layout import load_layout
from tipvision.bench_card.markers import marker_modules
from tipvision.bench_card.raster import raster_card


@pytest.mark.parametrize("px_per_mm", [2.0, 4.0, 6.5])
def test_size_follows_the_scale(px_per_mm: float) -> None:
    assert raster_card(px_per_mm, 128, 0).shape == (round(105 * px_per_mm), round(148 * px_per_mm))


def test_areas_are_what_the_layout_says() -> None:
    layout, scale = load_layout(), 10.0
    card = raster_card(scale, 128, 77)
    windows = sum(w.area.width * w.area.height for w in layout.windows)
    assert np.count_nonzero(card == 128) == windows * scale**2
    hole = np.pi / 4 * layout.seat.cut_diameter**2 * scale**2
    assert np.count_nonzero(card == 77) == pytest.approx(hole, rel=2e-3)
    rows, columns = np.nonzero(card == 77)
    centre = (columns.mean() + 0.5) / scale, (rows.mean() + 0.5) / scale
    assert centre == pytest.approx(layout.seat.centre, abs=0.02)


def test_every_module_of_every_marker_stands_at_its_place() -> None:
    layout, scale = load_layout(), 4.0
    card = raster_card(scale, 128, 0)
    for marker in layout.markers:
        (x, y), side = marker.area.corners[0], marker.module
        middles = (np.arange(8) + 0.5) * side
        rows = ((y + middles) * scale).astype(int)
        columns = ((x + middles) * scale).astype(int)
        seen = card[np.ix_(rows, columns)] == 0
        assert (seen == marker_modules(layout.dictionary, marker.id)).all()
        zone = marker.quiet_zone
        (x0, y0), _, (x1, y1), _ = (tuple(round(v * scale) for v in c) for c in zone.corners)
        block = card[y0:y1, x0:x1].copy()
        inset = round(marker.module * scale)
        block[inset:-inset, inset:-inset] = 255
        assert (block == 255).all()


def test_the_ruler_has_a_tick_each_millimetre() -> None:
    layout, scale = load_layout(), 10.0
    x, y = layout.ruler.start
    row = raster_card(scale, 128, 0)[round((y - 1) * scale)]
    starts = np.flatnonzero(np.diff((row == 0).astype(int)) == 1) + 1
    ticks = starts[(starts >= (x - 1) * scale) & (starts <= (x + 101) * scale)]
    assert len(ticks) == 101
    assert (ticks[-1] - ticks[0]) / scale == pytest.approx(layout.ruler.length)
