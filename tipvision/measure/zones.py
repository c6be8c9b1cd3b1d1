"""The nose cut into zones, so that light and doubt act on a few dozen colours, not on pixels."""

import numpy as np
from numpy.typing import NDArray

from tipvision.quantiles import quantiles

RINGS = 4
SECTORS = 12
MOST_ZONES = RINGS * SECTORS
ZONE_PIXELS = 40  # a small nose is cut into fewer zones, of about so many pixels (our estimate)
LEAST_PIXELS = 12  # a zone with fewer says nothing (our estimate)
LEVELS = 65535  # steps of brightness, the root of light, that pixels are ranked by
TRIM = 0.1  # share of the darkest and of the brightest pixels left out of a zone's mean


def zones_of(nose: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Zone number of each pixel of the nose, -1 elsewhere.

    nose: bool (h, w). Zones are rings of equal area about the middle of the nose, cut into equal
    sectors: from the tip outward to the base when seen end-on. A small nose has fewer of both.
    Returns int32 (h, w), values below `MOST_ZONES`.
    """
    labels = np.full(nose.shape, -1, np.int32)
    y, x = np.nonzero(nose)
    if y.size == 0:
        return labels
    count = min(MOST_ZONES, max(1, y.size // ZONE_PIXELS))
    rings = max(1, round(np.sqrt(count * RINGS / SECTORS)))
    sectors = max(1, count // rings)
    dy, dx = y - y.mean(), x - x.mean()
    radius = np.hypot(dx, dy)
    edges = quantiles(radius, [k / rings for k in range(rings)])[1:]  # of one ring none
    ring = np.searchsorted(edges, radius, side="right")
    turn = (np.arctan2(dy, dx) / (2 * np.pi)) % 1.0
    sector = np.minimum((turn * sectors).astype(np.int32), sectors - 1)
    labels[y, x] = ring * sectors + sector
    return labels


def zone_means(
    linear: NDArray[np.float32], zones: NDArray[np.int32]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Trimmed mean colour and share of each zone that has enough pixels.

    linear: float32 (h, w, 3), linear light. zones: from `zones_of`.
    Returns float64 (z, 3) means and float64 (z,) shares summing to 1; (0, 3) and (0,) when no zone
    has `LEAST_PIXELS`. Pixels are trimmed by the sum of their channels, so that a thin highlight or
    a speck of dirt does not move a zone.
    """
    at = np.flatnonzero(zones >= 0)
    number, pixels = np.ravel(zones)[at].astype(np.uint8), linear.reshape(-1, 3)[at]
    level = np.sqrt(np.clip(pixels[:, 0] + pixels[:, 1] + pixels[:, 2], 0.0, 3.0) / 3.0)
    # small whole numbers are sorted many times faster; equal ones stay in the order of the pixels
    order = np.argsort((LEVELS * level).astype(np.uint16), kind="stable")
    order = order[np.argsort(number[order], kind="stable")]
    counts = np.bincount(number, minlength=MOST_ZONES)
    kept = counts >= LEAST_PIXELS
    if not kept.any():
        return np.empty((0, 3)), np.empty(0)
    cut = (TRIM * counts).astype(int)
    ends = np.cumsum(counts)
    spans = np.stack([ends - counts + cut, ends - cut], axis=1)[kept]
    edges = spans.ravel()
    sums = np.add.reduceat(pixels[order].astype(np.float64), edges[edges < at.size])[::2]
    shares = counts[kept].astype(np.float64)
    return sums / np.diff(spans), shares / shares.sum()
