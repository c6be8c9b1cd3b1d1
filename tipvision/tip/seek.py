"""The search for firing ends by the tip net: the whole photo first, then each place closely."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box
from tipvision.tip.close_look import crop_of, labels_of
from tipvision.tip.closer import Closer
from tipvision.tip.hint import ASIDE_MM, RIM_MM, SEAT_ODDS, SEAT_TAKEN, Hint
from tipvision.tip.labels import outlines_of
from tipvision.tip.net import CELLS, COARSE_PX, VIEWS, TipNet
from tipvision.tip.square import square_view
from tipvision.tip.tip import Part, Tip, TipSearch

# source of every number here: our estimate
MIDDLE_LEAST = 0.25  # a peak of the coarse net that is looked at closely
MOST_LOOKS = 6  # peaks looked at
APART = 0.6  # of a firing end's extent: nearer peaks are the same one
MARGIN = 1.3  # side of the close crop over the firing end's extent; the net learned with it
BELIEVED = 0.85  # mean of both nets' words from which a firing end is there (set on look tune)
SAME_NOSE = 0.4  # overlap of two noses that are one
LEAST_NOSE = 6  # label pixels


@dataclass(frozen=True)
class Place:
    """Where a firing end may be: middle and extent in displayed pixels, and how likely it is."""

    x: float
    y: float
    extent: float
    sure: float


def seek_tips(
    net: TipNet,
    overview: NDArray[np.uint8],
    size: tuple[int, int],
    hint: Hint | None = None,
    closer: Closer | None = None,
) -> TipSearch:
    """Firing ends in a photo, most certain first.

    overview: uint8 (h, w, 3), RGB, sRGB-encoded, the displayed photo reduced. size: width and
    height of the displayed photo, pixels; everything handed back is in its pixels. With a hint the
    search keeps to the seat of the bench card and hands back one tip at most. With `closer` small
    firing ends are looked at in the photo's full pixels. Source of the method: our own training
    (`pipelines.tip_net`).
    """
    scale = size[0] / overview.shape[1]
    middle, side = (size[0] / 2, size[1] / 2), float(max(size))
    if hint is not None:
        middle, side = hint.centre, 2 * (ASIDE_MM + 1.1 * RIM_MM[1]) * hint.px_per_mm
    view = square_view(overview, (middle[0] / scale, middle[1] / scale), side / scale, COARSE_PX)
    seen = net.coarse(view)
    places = _places(seen.middle, seen.size, middle, side)
    if hint is not None:
        places = places[:1]
    tips: list[Tip] = []
    likely = 0.0
    for place in places:
        tip, sure = _looked_at(net, place, seen.plug, overview, size, closer)
        sure = sure if hint is None else SEAT_ODDS * sure / (SEAT_ODDS * sure + 1 - sure)
        likely = max(likely, sure)
        if tip is not None and all(_overlap(tip, other) < SAME_NOSE for other in tips):
            tips.append(tip)
    tips.sort(key=lambda tip: -tip.sure)
    likely = max(likely, (likely + seen.plug) / 2)
    return TipSearch(tuple(tips), likely if hint is None else max(likely, SEAT_TAKEN))


def _places(
    middle: NDArray[np.float32], size: NDArray[np.float32], at: tuple[float, float], side: float
) -> list[Place]:
    """Peaks of the coarse maps, strongest first, none on another's firing end."""
    top = cv2.dilate(middle, np.ones((3, 3), np.uint8))
    rows, columns = np.nonzero((middle >= top) & (middle >= MIDDLE_LEAST))
    cell = side / CELLS
    kept: list[Place] = []
    for k in np.argsort(-middle[rows, columns], kind="stable"):
        row, column = int(rows[k]), int(columns[k])
        y, x = _between_cells(middle, row, column)
        place = Place(
            at[0] - side / 2 + (x + 0.5) * cell,
            at[1] - side / 2 + (y + 0.5) * cell,
            float(size[row, column]) * side,
            float(middle[row, column]),
        )
        if all(
            np.hypot(place.x - p.x, place.y - p.y) > APART * max(p.extent, place.extent)
            for p in kept
        ):
            kept.append(place)
    return kept[:MOST_LOOKS]


def _between_cells(middle: NDArray[np.float32], row: int, column: int) -> tuple[float, float]:
    """The peak's place to a fraction of a cell: the mean of the cells round it by their weight."""
    rows = np.arange(max(row - 1, 0), min(row + 2, CELLS))
    columns = np.arange(max(column - 1, 0), min(column + 2, CELLS))
    weight = middle[np.ix_(rows, columns)].astype(np.float64)
    total = float(weight.sum())
    return float(weight.sum(1) @ rows) / total, float(weight.sum(0) @ columns) / total


def _looked_at(
    net: TipNet,
    place: Place,
    plug: float,
    overview: NDArray[np.uint8],
    size: tuple[int, int],
    closer: Closer | None,
) -> tuple[Tip | None, float]:
    """The tip at a place, None where its nose is not to be made out; and how likely a firing end
    is there. plug: how sure the coarse net is that the photo shows one at all."""
    side = max(8, round(MARGIN * place.extent))
    x0, y0 = round(place.x - side / 2), round(place.y - side / 2)
    square = Box(x0, y0, x0 + side, y0 + side)
    box = square.within(*size)
    if box.width < 4 or box.height < 4:
        return None, 0.0
    seen = net.fine(crop_of(square, box, overview, size, closer))
    sure = seen.here * max(place.sure, seen.here)
    if (seen.here + plug) / 2 < BELIEVED:
        return None, sure
    labels = labels_of(seen, square, box)
    nose = (labels == Part.NOSE) | (labels == Part.GLARE)
    if nose.sum() < LEAST_NOSE:
        return None, sure
    tip = Tip(
        box=box,
        labels=labels,
        outlines=outlines_of(labels, box),
        nose_px=seen.width * side,
        view=VIEWS[int(seen.views.argmax())],
        sure=sure,
        visible=_visible(labels, nose),
        quality=seen.quality,
    )
    return tip, sure


def _visible(labels: NDArray[np.uint8], nose: NDArray[np.bool_]) -> float:
    """Share of the nose that shows: of its hull what is nose, the electrode in it left out.

    What is hidden at the nose's rim is not seen by this, only what crosses it.
    """
    rows = np.flatnonzero(nose.any(axis=1))
    ends = (nose[rows].argmax(axis=1), nose.shape[1] - 1 - nose[rows, ::-1].argmax(axis=1))
    points = np.concatenate([np.stack([end, rows], axis=1) for end in ends]).astype(np.int32)
    hull = np.zeros(labels.shape, np.uint8)
    cv2.fillConvexPoly(hull, cv2.convexHull(points), (1,))
    whole = (hull > 0) & (labels != Part.ELECTRODE)
    return float(min(1.0, nose.sum() / max(int(whole.sum()), 1)))


def _overlap(a: Tip, b: Tip) -> float:
    """Share of the smaller nose that lies in the other, by the boxes of their outlines."""
    (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = _extent(a), _extent(b)
    both = max(0.0, min(ax1, bx1) - max(ax0, bx0)) * max(0.0, min(ay1, by1) - max(ay0, by0))
    smaller = min((ax1 - ax0) * (ay1 - ay0), (bx1 - bx0) * (by1 - by0))
    return both / max(smaller, 1e-9)


def _extent(tip: Tip) -> tuple[float, float, float, float]:
    if not tip.outlines:
        return float(tip.box.x0), float(tip.box.y0), float(tip.box.x1), float(tip.box.y1)
    points = np.concatenate(tip.outlines)
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
