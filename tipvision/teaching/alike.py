"""Photos that are nearly the same picture: copies, smaller copies, the next shot of a burst."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

SIDE = 16
MOST_APART = 32  # of 256 bits (measured: pytest tests/teaching/test_alike.py; copies are at most 26
# apart there, photos of different plugs at least 62)


def mark_of(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """256 bits of a picture (h, w, 3), sRGB, uint8 (32,): where it gets brighter to the right.

    Scale, compression and exposure hardly move them. Source of the method: difference hashing
    (common practice, no published source), here on 16 by 16 steps.
    """
    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, (SIDE + 1, SIDE), interpolation=cv2.INTER_AREA).astype(np.int16)
    return np.packbits(small[:, 1:] > small[:, :-1])


def alike(marks: Sequence[NDArray[np.uint8]]) -> list[tuple[int, int]]:
    """Pairs (i, j), i < j, of marks at most `MOST_APART` bits apart."""
    held = np.array(marks, np.uint8).reshape(-1, SIDE * SIDE // 8)
    pairs = []
    for i, mark in enumerate(held):
        apart = np.bitwise_count(held[i + 1 :] ^ mark).sum(axis=1)
        pairs += [(i, i + 1 + int(j)) for j in np.flatnonzero(apart <= MOST_APART)]
    return pairs


def numbered(names: Sequence[str], pairs: Sequence[tuple[int, int]]) -> NDArray[np.int64]:
    """A number for each name, int64 (n,): the same for equal names and for those that a pair ties
    together; numbers rise from 0 in the order of first sight."""
    root = list(range(len(names)))

    def top(k: int) -> int:
        while root[k] != k:
            k = root[k]
        return k

    first: dict[str, int] = {}
    ties = [(first.setdefault(name, k), k) for k, name in enumerate(names)]
    for a, b in (*ties, *pairs):
        low, high = sorted((top(a), top(b)))
        root[high] = low
    numbers: dict[int, int] = {}
    return np.array([numbers.setdefault(top(k), len(numbers)) for k in range(len(names))], np.int64)
