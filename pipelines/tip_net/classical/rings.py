"""The rings of a firing end about one middle: rim, bore, nose; and the strap that crosses them.

Everything is read from a log-polar picture, in which a ring is a column and the ratio of two
radii is a distance between columns.
"""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.float32]

ANGLES = 72
STEPS = 120  # columns of the log-polar picture
INNERMOST = 0.03  # of the outermost radius that is looked at
BORE = np.arange(0.72, 0.861, 0.02)  # of the rim's radius (our estimate about 10 mm in 12.5 mm)
NOSE = np.arange(
    0.34, 0.561, 0.02
)  # of the rim's radius (our estimate about 4.5-6 mm, and its base)
NOSE_FINE = np.arange(0.34, 0.60, 0.02)
NOSE_RISE = 0.4  # how far a nose stands over or under the rim at most, of its radius (our estimate)
NOSE_SEEN = 0.2  # an edge seen less is no edge (our estimate)
TYPICAL_NOSE = 0.46  # of the rim's radius, where no edge is seen (our estimate)
HYPOTHESES = 4  # sizes of rim tried about one middle
STRAP_WIDTHS = (5, 8, 11, 14)  # in angles of 5 degrees, at the clearance ring (our estimate)
GAP_FROM = 0.60  # of the rim's radius (our estimate)
STRAP_RISE = 0.4  # a strap is at least this share as bright above the gap as the rim (our estimate)
STRAP_HALF = 0.215  # half the strap's width, of the rim's radius (2.7 mm; from memory, unchecked)
# how much each part says; a sooty nose may have no edge at all, so its lack alone refuses nothing
PART_WEIGHT = {"rim": 1.5, "bore": 1.5, "nose": 1.5, "dark": 1.0, "strap": 2.5}  # our estimates
PART_FLOOR = {"rim": 0.05, "bore": 0.05, "nose": 0.25, "dark": 0.05, "strap": 0.05}
AGREEING = (0.5, 0.8)  # share of the rays that show an edge: none of it counts, all counts
NOISE = 0.012  # L*/100: an edge below this is none (our estimate)


@dataclass(frozen=True)
class Frame:
    """An ellipse that stands for a circle seen at a slant.

    x, y: middle, pixels. long: major half-axis, pixels. ratio: minor over major axis, 0 to 1.
    angle: of the major axis, radians, from x towards y.
    """

    x: float
    y: float
    long: float
    ratio: float = 1.0
    angle: float = 0.0

    def points(
        self, radius: NDArray[np.floating], turn: NDArray[np.floating]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Pixels x, y of points at `radius` (1 lies on the ellipse) and `turn` (radians)."""
        along, across = radius * np.cos(turn), radius * np.sin(turn) * self.ratio
        c, s = np.cos(self.angle) * self.long, np.sin(self.angle) * self.long
        return self.x + along * c - across * s, self.y + along * s + across * c


@dataclass(frozen=True)
class Rings:
    """What was found about one middle.

    frame: its ellipse is the rim's outer edge. bore, nose: radii as shares of the rim's.
    nose_x, nose_y: the nose's middle in the frame, in rim radii: at a slant it moves, as it stands
    higher or lower than the rim.
    strap: where the strap stands, radians in the frame. strap_half: half its angular width.
    parts: how well each part is seen, each 0 to 1: rim, bore, nose, dark, strap.
    """

    frame: Frame
    bore: float
    nose: float
    strap: float
    strap_half: float
    parts: dict[str, float]
    nose_x: float = 0.0
    nose_y: float = 0.0

    @property
    def score(self) -> float:
        """0 to 1: geometric mean of the parts, so that one missing part is not bought back."""
        total = sum(w * np.log(max(self.parts[p], PART_FLOOR[p])) for p, w in PART_WEIGHT.items())
        return float(np.exp(total / sum(PART_WEIGHT.values())))


_TURN = np.arange(ANGLES) * (2 * np.pi / ANGLES)


def read_rings(
    grey: Grey, frame: Frame, least: float, most: float, strict: bool = True
) -> Rings | None:
    """The best rings about the middle of `frame`, with a rim of `least` to `most` pixels radius.

    grey: float32 (h, w), lightness 0 to 1. The frame's `long` is not used. Strictly, most
    rays must agree on an edge; in a frame that was only guessed they cannot. None where there is no
    room for a rim.
    """
    outermost = most * 1.08
    radii = outermost * INNERMOST ** (1 - np.arange(STEPS) / (STEPS - 1))
    step = np.log(radii[1] / radii[0])
    unit = replace(frame, long=1.0)
    polar = _polar(grey, unit, radii)
    edge = _steps(polar)
    middle = _middle(edge)
    spread = _middle(np.abs(edge - middle))
    seen = middle / (np.abs(middle) + 1.5 * spread + NOISE)  # -1 to 1, sign: brighter outwards
    if strict:
        agreeing = (edge * np.sign(middle) > 0.25 * np.abs(middle)).mean(axis=0)
        share = (agreeing - AGREEING[0]) / (AGREEING[1] - AGREEING[0])
        seen = seen * np.clip(share, 0, 1)
    bore_at = np.rint(np.log(BORE) / step).astype(int)
    nose_at = np.rint(np.log(NOSE) / step).astype(int)
    first = int(np.searchsorted(radii, least))
    rims = np.arange(max(first, 1 - int(nose_at.min()) + 2), STEPS - 2)
    if rims.size == 0:
        return None
    rim_seen = np.abs(seen[rims])
    bore_seen = seen[rims[:, None] + bore_at]
    nose_seen = -seen[rims[:, None] + nose_at]
    value = (
        rim_seen[:, None, None] + 1.5 * bore_seen[:, :, None] + 1.0 * nose_seen[:, None, :]
    ).reshape(rims.size, -1)
    best_at_rim = value.max(axis=1)
    found: Rings | None = None
    for _ in range(HYPOTHESES):
        i = int(np.argmax(best_at_rim))
        j, k = divmod(int(np.argmax(value[i])), NOSE.size)
        columns = (int(rims[i]), int(rims[i] + bore_at[j]), int(rims[i] + nose_at[k]))
        rings = _described(polar, radii, frame, columns, seen)
        if found is None or rings.score > found.score:
            found = rings
        best_at_rim[max(i - 3, 0) : i + 4] = -np.inf
    return found


def _polar(grey: Grey, frame: Frame, radii: NDArray[np.floating]) -> Grey:
    """float32 (ANGLES, n): `grey` along rays of the frame, at its radii."""
    x, y = frame.points(radii[None, :], _TURN[:, None])
    at_x, at_y = x.astype(np.float32), y.astype(np.float32)
    rays = cv2.remap(grey, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(rays, np.float32)


def _steps(polar: Grey) -> Grey:
    """Slope along each ray, positive where it gets brighter outwards; 0 at its ends."""
    steps = np.zeros_like(polar)
    steps[:, 2:-2] = 0.5 * (polar[:, 4:] + polar[:, 3:-1] - polar[:, 1:-3] - polar[:, :-4])
    return steps


def _middle(rays: Grey) -> Grey:
    """Median over the rays; a sort of contiguous rows is several times faster than np.median."""
    rows = np.sort(np.ascontiguousarray(rays.T), axis=1)
    return rows[:, rows.shape[1] // 2]


def _described(
    polar: Grey,
    radii: NDArray[np.float64],
    frame: Frame,
    columns: tuple[int, int, int],
    seen: NDArray[np.float32],
) -> Rings:
    rim, bore, nose = columns
    # at a slant the nose's far side leans into the gap: only the outer part of it is surely clear
    clear_from = min(max(nose + 2, int(np.searchsorted(radii, GAP_FROM * radii[rim]))), bore - 3)
    gap = polar[:, clear_from : bore - 1]
    strap, half, rise, spread = _strap(gap.mean(axis=1))
    around = np.abs((_TURN - strap + np.pi) % (2 * np.pi) - np.pi) > half + 0.1
    profile = _middle(polar[around])
    metal = float(profile[bore + 2 : max(rim - 1, bore + 3)].mean())
    inner = float(profile[max(nose - 8, 0) : nose - 1].mean())
    clear = profile[clear_from : bore - 1]
    # every part of the gap must be darker than the rim, its brightest as well
    depth = metal - float(clear.max())
    lift = metal - float(clear.mean())
    uneven = 0.5 * float(np.ptp(clear))
    dark = depth / (abs(depth) + uneven + spread + NOISE) if inner > clear.min() - NOISE else 0.0
    # the strap bridges all of the gap: what stands in only half of it is something else
    half_way = max(gap.shape[1] // 2, 1)
    halves = [_rise(h.mean(axis=1), around) for h in (gap[:, :half_way], gap[:, -half_way:])]
    whole = min(max(min(halves), 0.0) / max(STRAP_RISE * lift, NOISE), 1.0)
    parts = {
        "rim": float(abs(seen[rim])),
        "bore": float(max(seen[bore], 0)),
        "nose": float(max(-seen[nose], 0)),
        "dark": float(np.clip(dark, 0, 1)),
        "strap": float(max(rise, 0) / (abs(rise) + 1.5 * spread + NOISE) * whole),
    }
    long = float(radii[rim])
    return Rings(
        replace(frame, long=long),
        float(radii[bore] / long),
        float(radii[nose] / long),
        strap,
        half,
        parts,
    )


def _rise(ring: Grey, around: NDArray[np.bool_]) -> float:
    return float(ring[~around].mean() - ring[around].mean())


def _strap(ring: Grey) -> tuple[float, float, float, float]:
    """Where one sector of the clearance ring is brighter than the rest.

    ring: float32 (ANGLES,), lightness. Returns the sector's middle and half width (radians), how
    much brighter it is, and the spread of the rest and of itself.
    """
    twice = np.concatenate([ring, ring])
    total = np.concatenate([[0.0], np.cumsum(twice)])
    square = np.concatenate([[0.0], np.cumsum(twice**2)])
    start, widths = np.arange(ANGLES)[None, :], np.asarray(STRAP_WIDTHS)[:, None]
    gap = 1  # the strap's soft edges belong to neither side
    rest = ANGLES - widths - 2 * gap
    a, b, c = start + widths, start + widths + gap, start + ANGLES - gap
    inside = (total[a] - total[start]) / widths
    outside = (total[c] - total[b]) / rest
    own = np.sqrt(np.maximum((square[a] - square[start]) / widths - inside**2, 0))
    spread = np.sqrt(np.maximum((square[c] - square[b]) / rest - outside**2, 0)) + 0.3 * own
    rise = inside - outside
    i, j = divmod(int(np.argmax(rise / (np.abs(rise) + 1.5 * spread + NOISE))), ANGLES)
    width = STRAP_WIDTHS[i]
    turn = (j + (width - 1) / 2) * 2 * np.pi / ANGLES
    return turn, width * np.pi / ANGLES, float(rise[i, j]), float(spread[i, j])


def settle_nose(grey: Grey, rings: Rings) -> Rings:
    """The rings with the nose's circle moved and sized to the edge seen best off the strap."""
    radii = np.linspace(0.05, rings.bore, 48)
    polar = _polar(grey, rings.frame, radii)
    edge = _steps(polar)
    off_strap = np.abs((_TURN - rings.strap + np.pi) % (2 * np.pi) - np.pi) > rings.strap_half + 0.1
    turn, edge = _TURN[off_strap], edge[off_strap]
    # only a slant moves the nose, and only across the ellipse's major axis
    reach = 0.04 + NOSE_RISE * np.sqrt(1 - min(rings.frame.ratio, 1.0) ** 2)
    sx, sy = (m.ravel() for m in np.meshgrid((-0.03, 0.0, 0.03), np.linspace(-reach, reach, 11)))
    at = NOSE_FINE[:, None, None] + (
        sx[None, :, None] * np.cos(turn) + sy[None, :, None] * np.sin(turn)
    )
    column = np.clip(np.rint((at - radii[0]) / (radii[1] - radii[0])), 0, 47).astype(np.intp)
    drop = -edge[np.arange(turn.size), column]
    mean = drop.mean(axis=2)
    spread = np.abs(drop - mean[:, :, None]).mean(axis=2)
    seen = mean / (np.abs(mean) + 1.2 * spread + NOISE)
    # a nose off the middle needs more to be believed
    value = seen * (1 - 0.4 * np.hypot(sx, sy))
    i, j = np.unravel_index(int(np.argmax(value)), value.shape)
    if seen[i, j] < NOSE_SEEN or i == 0:  # the smallest is rather the electrode's edge
        return replace(rings, nose=TYPICAL_NOSE)
    parts = rings.parts | {"nose": float(max(seen[i, j], rings.parts["nose"]))}
    return replace(
        rings, nose=float(NOSE_FINE[i]), nose_x=float(sx[j]), nose_y=float(sy[j]), parts=parts
    )


def bore_ellipse(grey: Grey, rings: Rings) -> Frame | None:
    """The frame again, from an ellipse laid through the bore's edge as each ray sees it."""
    near = np.linspace(0.84, 1.16, 33) * rings.bore
    polar = _polar(grey, rings.frame, near)
    edge = _steps(polar)
    x, y = rings.frame.points(near[None, :], _TURN[:, None])
    at = np.argmax(edge, axis=1)
    strength = edge.max(axis=1)
    off_strap = np.abs((_TURN - rings.strap + np.pi) % (2 * np.pi) - np.pi) > rings.strap_half + 0.1
    keep = off_strap & (strength > 0.5 * np.median(strength))
    for _ in range(3):
        if keep.sum() < 12:
            return None
        points = np.stack([x[np.arange(ANGLES), at], y[np.arange(ANGLES), at]], 1)
        (cx, cy), (d1, d2), degrees = cv2.fitEllipseDirect(points[keep].astype(np.float32))
        if not np.isfinite([cx, cy, d1, d2]).all() or min(d1, d2) < 4:
            return None
        long, short = max(d1, d2) / 2, min(d1, d2) / 2
        turn = np.deg2rad(degrees if d1 >= d2 else degrees + 90)
        frame = Frame(cx, cy, long / rings.bore, short / long, float(turn))
        radius = _radius_in(frame, points) / rings.bore
        near_it = np.abs(radius - 1) < max(0.03, 1.5 * float(np.median(np.abs(radius[keep] - 1))))
        keep = off_strap & near_it & (strength > 0.3 * np.median(strength))
    return frame


def _radius_in(frame: Frame, points: NDArray[np.float64]) -> NDArray[np.float64]:
    dx, dy = points[:, 0] - frame.x, points[:, 1] - frame.y
    c, s = np.cos(frame.angle), np.sin(frame.angle)
    along, across = dx * c + dy * s, (-dx * s + dy * c) / frame.ratio
    return np.asarray(np.hypot(along, across) / frame.long)
