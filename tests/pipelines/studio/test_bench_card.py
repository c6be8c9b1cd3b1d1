"""The card in the studio lies where the layout says."""

import numpy as np
import pytest

from pipelines.studio.bench_card import PX_PER_MM, card_mesh, corners, in_space, ink, strips
from tipvision.bench_card.layout import load_layout


def test_the_seat_is_the_origin_and_y_points_up_the_card() -> None:
    seat = np.array([load_layout().seat.centre])
    assert in_space(seat, 1.0)[0] == pytest.approx([0, 0, 0])
    top_left = in_space(corners()[:1], 0.0)[0]
    assert top_left[0] < 0 < top_left[1]


def test_the_sheet_has_its_cut_outs_and_nothing_else_missing() -> None:
    layout = load_layout()
    mesh = card_mesh(0.0)
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    across = np.cross(b - a, c - a)
    assert np.all(across[:, 2] > 0)
    windows = sum(w.area.width * w.area.height for w in layout.windows)
    hole = np.pi * layout.seat.cut_diameter**2 / 4
    wanted = layout.width * layout.height - windows - hole
    assert across[:, 2].sum() / 2 == pytest.approx(wanted, rel=2e-4)


def test_ink_is_there_on_markers_and_not_on_windows() -> None:
    layout, sheet = load_layout(), ink()
    assert sheet.shape == (round(layout.height * PX_PER_MM), round(layout.width * PX_PER_MM))
    for marker in layout.markers:
        x, y = marker.area.corners[0]
        edge = sheet[round((y + 1) * PX_PER_MM), round((x + 1) * PX_PER_MM)]
        assert edge > 0.95
    for window in layout.windows:
        x, y = window.area.centre
        assert sheet[round(y * PX_PER_MM), round(x * PX_PER_MM)] < 0.05


def test_grey_strips_lie_behind_all_windows_and_clear_of_the_seat() -> None:
    layout = load_layout()
    for window in layout.windows:
        a = window.area
        assert any(
            x < a.x and y < a.y and x + w > a.x + a.width and y + h > a.y + a.height
            for x, y, w, h in strips()
        )
    cx, cy = layout.seat.centre
    for _, y, _, h in strips():
        assert abs(y + h / 2 - cy) - h / 2 > layout.seat.wide_diameter / 2
    assert cx == pytest.approx(layout.width / 2)
