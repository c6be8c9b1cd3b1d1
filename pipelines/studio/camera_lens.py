"""Before light meets the sensor: the window of a render, and the blurs of focus and hand."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array


@dataclass(frozen=True)
class Crop:
    """A window of the render, in its pixels, and the size it is brought to.

    The window may lie anywhere inside the render; truth goes the same way by `points` and `mask`.
    """

    left: int
    top: int
    width: int
    height: int
    out_width: int
    out_height: int

    def points(self, xy: Array) -> Array:
        """Places (n, 2) in the render as places in the photo, counted from pixel corners."""
        scale = np.array([self.out_width / self.width, self.out_height / self.height])
        return np.asarray((np.asarray(xy, float) - [self.left, self.top]) * scale)

    def mask(self, labels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
        """Labels (height, width) of the render as those of the photo, by nearest pixel."""
        size = (self.out_width, self.out_height)
        part = labels[self.window]
        return np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_NEAREST_EXACT), np.uint8)

    @property
    def window(self) -> tuple[slice, slice]:
        """Rows and columns of the render."""
        return (
            slice(self.top, self.top + self.height),
            slice(self.left, self.left + self.width),
        )

    def scaled(self, part: Array) -> Array:
        """Linear light (height, width, channels) of the window at the photo's size, averaged or
        interpolated."""
        how = cv2.INTER_AREA if self.out_width < self.width else cv2.INTER_CUBIC
        out = cv2.resize(part, (self.out_width, self.out_height), interpolation=how)
        return np.asarray(np.maximum(out, 0.0))


def disk(radius: float) -> Array:
    """Kernel of a defocused point, a disk of that radius in pixels with soft edges; sums to 1."""
    half = int(np.ceil(radius)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    kernel = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1)
    return np.asarray(kernel / kernel.sum())


def smear(length: float, degrees: float) -> Array:
    """Kernel of a straight smear, length in pixels, direction counter-clockwise from right."""
    half = int(np.ceil(length / 2)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    t = np.radians(degrees)
    along, across = x * np.cos(t) - y * np.sin(t), x * np.sin(t) + y * np.cos(t)
    kernel = np.clip(length / 2 + 0.5 - np.abs(along), 0, 1) * np.clip(1 - np.abs(across), 0, 1)
    return np.asarray(kernel / kernel.sum())
