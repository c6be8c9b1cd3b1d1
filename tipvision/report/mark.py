"""The mark that stands on a report until a shop sets its own: a larch in a hollow, drawn by us."""

from functools import cache

SIDE = 60.0  # of the square that the mark fills, y down

Polygon = tuple[tuple[float, float], ...]

_TIERS = ((9.0, 7.0), (16.0, 10.5), (24.0, 14.0), (32.5, 17.5))  # y of a branch, its half width
_STEPS = 12


@cache
def mark() -> tuple[Polygon, ...]:
    """Filled polygons, in ink on white."""
    trunk: Polygon = ((29.1, 3.0), (30.9, 3.0), (31.4, 49.0), (28.6, 49.0))
    branches = [_branch(y, side * width) for y, width in _TIERS for side in (-1.0, 1.0)]
    return (trunk, *branches, _hollow(41.0, 55.0, 2.6))


def svg_path() -> str:
    """The same as SVG path data."""
    return " ".join(
        "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in polygon) + " Z" for polygon in mark()
    )


def _branch(y: float, reach: float) -> Polygon:
    """A drooping branch from the trunk outwards."""
    over = _curve((30.0, y), (30.0 + 0.55 * reach, y + 1.5), (30.0 + reach, y + 7.5))
    under = _curve((30.0 + reach, y + 7.5), (30.0 + 0.45 * reach, y + 5.5), (30.0, y + 4.6))
    return (*over, *under)


def _hollow(rim: float, floor: float, thick: float) -> Polygon:
    low = 2.0 * floor - rim  # the control point that takes the curve down to the floor
    upper = _curve((2.0, rim), (30.0, low), (58.0, rim))
    lower = _curve((58.0, rim + thick), (30.0, low + thick), (2.0, rim + thick))
    return (*upper, *lower)


def _curve(
    start: tuple[float, float], pull: tuple[float, float], end: tuple[float, float]
) -> Polygon:
    """A quadratic Bézier curve as points."""
    points = []
    for step in range(_STEPS + 1):
        t = step / _STEPS
        weights = (1.0 - t) ** 2, 2.0 * t * (1.0 - t), t * t
        x, y = (
            sum(w * point[axis] for w, point in zip(weights, (start, pull, end), strict=True))
            for axis in (0, 1)
        )
        points.append((x, y))
    return tuple(points)
