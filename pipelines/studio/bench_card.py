"""The printed bench card as the studio sees it: ink on paper, cut-outs, places in space."""

from functools import cache

import cv2
import numpy as np

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.geometry.sheet import card_sheet
from tipvision.bench_card.layout import load_layout
from tipvision.bench_card.raster import raster_card

PX_PER_MM = 16


@cache
def ink() -> Array:
    """Ink cover (rows, columns) in 0..1 over the whole card, row 0 at its top edge.

    The markers and the ruler are the tool's own drawing; numbers and cutting lines stand in for
    the lettering of the printed page.
    """
    layout, k = load_layout(), PX_PER_MM
    sheet = np.ascontiguousarray(255 - raster_card(k, window=255, seat=255))
    zero, line = layout.ruler.start
    for mm in range(0, int(layout.ruler.length) + 1, 10):
        place = (round((zero + mm - 1.0) * k), round((line + 2.8) * k))
        cv2.putText(sheet, str(mm), place, cv2.FONT_HERSHEY_SIMPLEX, 1.0, 150, 2, cv2.LINE_AA)
    centre = tuple(round(c * k) for c in layout.seat.centre)
    cv2.circle(sheet, centre, round(layout.seat.wide_diameter / 2 * k), 140, 2, cv2.LINE_AA)
    return np.asarray(cv2.GaussianBlur(sheet, (0, 0), 0.9) / 255.0)


def corners() -> Array:
    """The card's own corners (4, 2) in card mm: top left, top right, bottom right, bottom left."""
    w, h = load_layout().width, load_layout().height
    return np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=float)


def strips() -> list[tuple[float, float, float, float]]:
    """Grey strips stuck behind the windows, x, y, width, height in card mm: one for each row."""
    rows: dict[float, list[tuple[float, float, float, float]]] = {}
    for window in load_layout().windows:
        a = window.area
        rows.setdefault(a.y, []).append((a.x, a.y, a.width, a.height))
    out = []
    for y, boxes in rows.items():
        left, right = min(b[0] for b in boxes), max(b[0] + b[2] for b in boxes)
        out.append((left - 4.0, y - 4.0, right - left + 8.0, boxes[0][3] + 8.0))
    return out


def card_mesh(curl: float) -> Mesh:
    """The sheet, its seat in the origin, y up the card, facing +z; corners lift by `curl` mm."""
    layout = load_layout()
    windows = [(w.area.x, w.area.y, w.area.width, w.area.height) for w in layout.windows]
    flat = card_sheet(
        layout.width, layout.height, windows, layout.seat.centre, layout.seat.cut_diameter / 2
    )
    vertices = in_space(np.stack([flat.vertices[:, 0], -flat.vertices[:, 1]], 1), curl)
    return Mesh(vertices, flat.faces, flat.uv)


def in_space(points: Array, curl: float) -> Array:
    """Card coordinates (n, 2) in mm to the card's frame (n, 3): seat at the origin, facing +z."""
    layout = load_layout()
    seat = np.array(layout.seat.centre)
    x, y = (points - seat).T
    reach = max(abs(layout.width - seat[0]), seat[0])
    lift = curl * np.clip((np.hypot(x, y) - 25.0) / (reach - 25.0), 0, None) ** 2
    return np.stack([x, -y, lift], 1)
