"""Middles of concentric rings: where the gradient lines of a photo meet.

Every edge pixel votes along the line of its gradient, both ways, so that bright and dark rings
count alike; a ring seen at a slant is made round first by squashing the frame. Method: radial
symmetry voting along gradient lines, our own arrangement (our estimate for every constant).
"""

from itertools import product

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.tip_net.classical.rings import Frame

VOTING_PX = 192  # longest side of the picture that votes
MOST_EDGES = 2600
SLANTS = (0.78,)  # ratios of axes tried beside the circle
DIRECTIONS = 4
A_FRAME = 5  # middles taken from each squashed frame
LEAST_REACH, MOST_REACH = 4.0, 80.0  # pixels of the voting picture
STEP = 2.0


def middles(grey: NDArray[np.float32]) -> list[tuple[Frame, float]]:
    """Likely middles, strongest first, with their votes; frames in pixels of `grey`, `long` is 1.

    grey: float32 (h, w), lightness 0 to 1.
    """
    shrink = min(1.0, VOTING_PX / max(grey.shape))
    size = (max(8, round(grey.shape[1] * shrink)), max(8, round(grey.shape[0] * shrink)))
    small = cv2.GaussianBlur(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), (0, 0), 1.0)
    gx, gy = cv2.Scharr(small, cv2.CV_32F, 1, 0), cv2.Scharr(small, cv2.CV_32F, 0, 1)
    strength = cv2.magnitude(gx, gy)
    # local contrast: a sooty plug's edges count as much as a bright background's
    local = strength / (cv2.blur(strength, (31, 31)) + 0.05)
    weight = np.where(strength > 0.06, np.minimum(local, 3.0), 0)
    if np.count_nonzero(weight) > MOST_EDGES:
        least = np.partition(weight.ravel(), -MOST_EDGES)[-MOST_EDGES]
        weight = np.where(weight >= least, weight, 0)
    y, x = np.nonzero(weight)
    if x.size < 30:
        return []
    edges = (
        x.astype(np.float32),
        y.astype(np.float32),
        *(np.asarray(g[y, x], np.float32) for g in (gx, gy)),
    )
    found = []
    frames = [(1.0, 0.0)]
    frames += list(product(SLANTS, np.arange(DIRECTIONS) * np.pi / DIRECTIONS))
    for ratio, angle in frames:
        votes = _votes(edges, np.sqrt(np.minimum(local[y, x], 3.0)), size, ratio, angle)
        for px, py, strength_here in _peaks(votes, A_FRAME if ratio < 1 else 2 * A_FRAME):
            frame = Frame((px + 0.5) / shrink - 0.5, (py + 0.5) / shrink - 0.5, 1.0, ratio, angle)
            found.append((frame, strength_here))
    return sorted(found, key=lambda f: -f[1])


def _votes(
    edges: tuple[NDArray[np.float32], ...],
    weight: NDArray[np.float32],
    size: tuple[int, int],
    ratio: float,
    angle: float,
) -> NDArray[np.float32]:
    x, y, gx, gy = edges
    c, s = np.float32(np.cos(angle)), np.float32(np.sin(angle))
    # gradient in the frame made round, where the axis across `angle` is stretched by 1 / ratio
    along, across = gx * c + gy * s, (-gx * s + gy * c) * np.float32(ratio)
    length = np.hypot(along, across) + np.float32(1e-9)
    along, across = along / length, across / length * np.float32(ratio)
    dx, dy = along * c - across * s, along * s + across * c
    reach = np.arange(LEAST_REACH, min(MOST_REACH, 0.45 * max(size)), STEP, dtype=np.float32)
    reach = np.concatenate([reach, -reach])[:, None]
    vx, vy = (x + reach * dx + 0.5).astype(np.int32), (y + reach * dy + 0.5).astype(np.int32)
    inside = (vx >= 0) & (vx < size[0]) & (vy >= 0) & (vy < size[1])
    cast = np.broadcast_to(weight / np.abs(reach), inside.shape)  # share of a ring of that radius
    flat = np.bincount((vy * size[0] + vx)[inside], cast[inside], size[0] * size[1])
    field = flat.reshape(size[1], size[0]).astype(np.float32)
    return np.asarray(cv2.GaussianBlur(field, (0, 0), 1.5), np.float32)


def _peaks(votes: NDArray[np.float32], most: int) -> list[tuple[int, int, float]]:
    top = cv2.dilate(votes, np.ones((9, 9), np.uint8))
    y, x = np.nonzero((votes >= top) & (votes > 0))
    order = np.argsort(-votes[y, x])[:most]
    return [(int(x[i]), int(y[i]), float(votes[y[i], x[i]])) for i in order]
