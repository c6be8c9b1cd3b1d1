"""Where the camera stands and where it sees a point."""

from dataclasses import dataclass

import numpy as np

from pipelines.studio.geometry.mesh import Array


@dataclass(frozen=True)
class View:
    """A camera in the scene; lengths in mm.

    `fov` is the horizontal field of view in degrees, `aperture` the radius of the lens opening,
    sharp at the distance of `focus` (a point). Pixels: x right, y down, (0, 0) the top left corner
    of the picture.
    """

    origin: tuple[float, float, float]
    target: tuple[float, float, float]
    up: tuple[float, float, float]
    fov: float
    width: int
    height: int
    aperture: float
    focus: tuple[float, float, float]

    def axes(self) -> tuple[Array, Array, Array]:
        """Unit vectors to the right, downwards and forwards."""
        forward = np.subtract(self.target, self.origin)
        forward = forward / np.linalg.norm(forward)
        right = np.cross(forward, self.up)
        right = right / np.linalg.norm(right)
        return right, np.cross(forward, right), forward

    @property
    def focal_px(self) -> float:
        """Focal length in pixels."""
        return float(self.width / 2 / np.tan(np.radians(self.fov) / 2))

    def project(self, points: Array) -> Array:
        """Pixels (n, 2) of points (n, 3)."""
        right, down, forward = self.axes()
        away = np.asarray(points, dtype=float) - np.array(self.origin)
        depth = away @ forward
        middle = np.array([self.width, self.height]) / 2
        return np.asarray(
            middle + self.focal_px * np.stack([away @ right, away @ down], 1) / depth[:, None]
        )

    def px_per_mm(self, point: Array) -> float:
        """Scale at a point, across the line of sight."""
        return float(self.focal_px / (np.subtract(point, self.origin) @ self.axes()[2]))
