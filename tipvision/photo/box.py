"""A rectangle of a photo."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Box:
    """Half-open rectangle in pixels of the photo as displayed: x0 ≤ x < x1, y0 ≤ y < y1."""

    x0: int
    y0: int
    x1: int
    y1: int

    @property
    def width(self) -> int:
        return self.x1 - self.x0

    @property
    def height(self) -> int:
        return self.y1 - self.y0

    def within(self, width: int, height: int) -> "Box":
        """The part of this box that lies in a photo of that size."""
        x0, x1 = (min(max(x, 0), width) for x in (self.x0, self.x1))
        y0, y1 = (min(max(y, 0), height) for y in (self.y0, self.y1))
        return Box(x0, y0, x1, y1)
