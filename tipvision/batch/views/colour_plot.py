"""The colours of a batch's noses against the four reference bands, drawn as plain SVG.

Groups are told by the shape of their marks and bands by the dashes of their outlines, so that a
grey print says as much as a screen.
"""

import math
from collections.abc import Sequence

import numpy as np
from markupsafe import Markup
from numpy.typing import ArrayLike, NDArray

from tipvision.batch.views.colour_bins import OPEN, PLANES, Bin, ColourBins, Scale
from tipvision.measure.bands import Band, load_bands
from tipvision.report.axis import hex_colour
from tipvision.report.words import CONDITIONS

INK, SOFT, LINE = "#16242c", "#44535b", "#c9d0d3"
WIDTH, HEIGHT = 470.0, 430.0  # of one plane
LEFT, TOP, RIGHT, BOTTOM = 40.0, 12.0, 458.0, 386.0  # of its frame
LARGEST, SINGLE, SMALLEST = 7.5, 3.6, 2.0  # radii of marks: the fullest, one nose, the least
KEY_WIDTH, KEY_ROW = 160.0, 19.0
IN_BAND = math.sqrt(-2.0 * math.log(0.05))  # radius that holds 95 % of a normal band in two axes

# Corners of each group's mark on a circle of radius 1, as (turns, radius); none is a circle.
SHAPES: dict[str, tuple[tuple[float, float], ...]] = {
    "normal": (),
    "dry_black": tuple((k / 4 + 1 / 8, 1.2) for k in range(4)),
    "wet_black": tuple((k / 4, 1.3) for k in range(4)),
    "chalk_white": tuple((k / 3 + 1 / 4, 1.4) for k in range(3)),
    "unused": tuple((k / 3 + 3 / 4, 1.4) for k in range(3)),
    "none": tuple((k / 10 + 1 / 4, 1.5 if k % 2 == 0 else 0.65) for k in range(10)),
    OPEN: tuple((k / 8 + 1 / 8, 1.4 if k % 2 == 0 else 0.42) for k in range(8)),
}
NAMES = {**{name: words[0] for name, words in CONDITIONS.items()}, OPEN: "Cannot tell"}
DASHES = {"normal": "none", "dry_black": "7 3", "wet_black": "2 2.5", "chalk_white": "8 3 2 3"}
_FRAME = 'font-family="Liberation Sans, Arial, Helvetica, sans-serif" font-size="12"'


def colours_file(bins: ColourBins) -> str:
    """The whole drawing as a file of its own: both planes, and the key."""
    parts = "".join(
        f'<g transform="translate({i * (WIDTH + 10):.0f} 0)">{_plane(bins, i)}</g>'
        for i in range(len(PLANES))
    )
    width = len(PLANES) * (WIDTH + 10) + KEY_WIDTH
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {HEIGHT:.0f}" '
        f'width="{width:.0f}" height="{HEIGHT:.0f}" {_FRAME} fill="{INK}">'
        f'<title>Colours of the noses</title><rect width="100%" height="100%" fill="#ffffff"/>'
        f'{parts}<g transform="translate({width - KEY_WIDTH:.0f} {TOP})">{_key(bins)}</g></svg>\n'
    )


def plane_svg(bins: ColourBins, plane: int) -> Markup:
    """One of `PLANES` to stand in a page."""
    across, up = (scale.name.partition(":")[0] for scale in PLANES[plane])
    title = f"Colours of the noses, {up} upwards and {across} to the right"
    return Markup(
        f'<svg viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" role="img" {_FRAME} fill="{INK}">'
        f"<title>{title}</title>{_plane(bins, plane)}</svg>"
    )


def key_svg(bins: ColourBins) -> Markup:
    """What the marks and outlines mean, to stand in a page."""
    height = KEY_ROW * (len(SHAPES) + len(DASHES) + 1.5)
    return Markup(
        f'<svg viewBox="0 0 {KEY_WIDTH:.0f} {height:.0f}" role="img" {_FRAME} fill="{INK}">'
        f"<title>What the marks mean</title>{_key(bins)}</svg>"
    )


def _plane(bins: ColourBins, plane: int) -> str:
    across, up = PLANES[plane]
    clip = f"frame-{plane}"
    marks = list(bins.bins(plane))
    fullest = max((one.count for one in marks), default=1)
    outlines = [(band, _outline(band, across, up)) for band in load_bands()]
    return (
        f'<clipPath id="{clip}"><rect x="{LEFT}" y="{TOP}" width="{RIGHT - LEFT}" '
        f'height="{BOTTOM - TOP}"/></clipPath>{_grid(across, up)}'
        f'<g clip-path="url(#{clip})">{"".join(_band(*one) for one in outlines)}'
        f"{''.join(_mark(one, across, up, fullest) for one in marks)}"
        f"{''.join(_band_line(*one) for one in outlines)}</g>{_band_names(outlines)}"
    )


def _grid(across: Scale, up: Scale) -> str:
    lines = "".join(f"M{_x(t, across):.1f} {TOP}V{BOTTOM}" for t in across.ticks)
    lines += "".join(f"M{LEFT} {_y(t, up):.1f}H{RIGHT}" for t in up.ticks)
    numbers = "".join(
        f'<text x="{_x(t, across):.1f}" y="{BOTTOM + 15}" text-anchor="middle">{_number(t)}</text>'
        for t in across.ticks
    ) + "".join(
        f'<text x="{LEFT - 5}" y="{_y(t, up) + 4:.1f}" text-anchor="end">{_number(t)}</text>'
        for t in up.ticks
    )
    below = f'x="{(LEFT + RIGHT) / 2}" y="{BOTTOM + 34}"'
    beside = f'transform="translate(11 {(TOP + BOTTOM) / 2}) rotate(-90)"'
    return (
        f'<path d="{lines}" stroke="{LINE}" stroke-width=".7"/>'
        f'<rect x="{LEFT}" y="{TOP}" width="{RIGHT - LEFT}" height="{BOTTOM - TOP}" fill="none" '
        f'stroke="{INK}" stroke-width=".8"/>{numbers}'
        f'<text {below} text-anchor="middle">{across.name}</text>'
        f'<text {beside} text-anchor="middle">{up.name}</text>'
    )


def _outline(band: Band, across: Scale, up: Scale) -> NDArray[np.float64]:
    """The ellipse that holds 95 % of a band in this plane, float64 (48, 2), in the drawing."""
    axes = [across.at, up.at]
    turn = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    circle = IN_BAND * np.stack([np.cos(turn), np.sin(turn)])
    spread = np.linalg.cholesky(band.covariance[np.ix_(axes, axes)])
    x, y = band.mean[axes][:, np.newaxis] + spread @ circle
    return np.stack([_x(x, across), _y(y, up)], axis=1)


def _band(band: Band, ring: NDArray[np.float64]) -> str:
    return f'<path d="{_path(ring)}" fill="{hex_colour(band.mean)}" fill-opacity=".16"/>'


def _band_line(band: Band, ring: NDArray[np.float64]) -> str:
    """The outline, with white beneath it, so that it can be seen on a crowd of marks."""
    path, dashes = _path(ring), DASHES[band.name]
    return (
        f'<path d="{path}" fill="none" stroke="#ffffff" stroke-width="3.4" stroke-opacity=".75"/>'
        f'<path d="{path}" fill="none" stroke="{INK}" stroke-width="1.6" '
        f'stroke-dasharray="{dashes}"/>'
    )


def _band_names(outlines: Sequence[tuple[Band, NDArray[np.float64]]]) -> str:
    """The bands' names in a column at the right, each with a line to its ellipse."""
    drawn, lowest = "", TOP + 4.0
    anchored = [(ring[ring[:, 0].argmax()], band) for band, ring in outlines]
    for (x, y), band in sorted(anchored, key=lambda one: float(one[0][1])):
        lowest = max(lowest + 16.0, min(float(y), BOTTOM - 16.0 * len(outlines)))
        drawn += (
            f'<path d="M{x:.1f} {y:.1f}L{RIGHT - 82} {lowest - 4:.1f}" stroke="{INK}" '
            f'stroke-width=".8"/><text x="{RIGHT - 78}" y="{lowest:.1f}" stroke="#ffffff" '
            f'stroke-width="4" paint-order="stroke">{NAMES[band.name]}</text>'
        )
    return drawn


def _mark(one: Bin, across: Scale, up: Scale, fullest: int) -> str:
    """A mark whose area is in proportion to its noses, in their mean colour."""
    largest = min(LARGEST, SINGLE * math.sqrt(fullest))
    radius = max(largest * math.sqrt(one.count / fullest), SMALLEST)
    x, y = float(_x(one.lab[across.at], across)), float(_y(one.lab[up.at], up))
    return _shape(one.group, x, y, radius, hex_colour(np.array(one.lab)))


def _shape(group: str, x: float, y: float, radius: float, fill: str) -> str:
    style = f'fill="{fill}" stroke="{INK}" stroke-width=".9"'
    if not SHAPES[group]:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" {style}/>'
    turns, radii = np.array(SHAPES[group]).T
    ring = np.stack([np.cos(2 * np.pi * turns), -np.sin(2 * np.pi * turns)], axis=1)
    return f'<path d="{_path(ring * radius * radii[:, np.newaxis] + (x, y))}" {style}/>'


def _key(bins: ColourBins) -> str:
    rows, y = "", KEY_ROW / 2
    for name in SHAPES:
        rows += _shape(name, 14.0, y, 5.0, "#ffffff")
        rows += f'<text x="32" y="{y + 4:.1f}">{NAMES[name]}</text>'
        y += KEY_ROW
    y += KEY_ROW / 2
    for name, dashes in DASHES.items():
        rows += (
            f'<path d="M2 {y:.1f}H26" stroke="{INK}" stroke-width="1.6" '
            f'stroke-dasharray="{dashes}"/>'
            f'<text x="32" y="{y + 4:.1f}">band {NAMES[name].lower()}</text>'
        )
        y += KEY_ROW
    count = f"{bins.measured:,} noses" + (f", {bins.outside:,} off the ends" * (bins.outside > 0))
    return f'{rows}<text x="2" y="{y + 4:.1f}">{count}</text>'


def _path(ring: NDArray[np.float64]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring) + "Z"


def _x(value: ArrayLike, scale: Scale) -> NDArray[np.float64]:
    """x of a value; values beyond the ends of the axis lie on them."""
    return np.asarray(LEFT + (RIGHT - LEFT) * _share(value, scale))


def _y(value: ArrayLike, scale: Scale) -> NDArray[np.float64]:
    """y of a value; values beyond the ends of the axis lie on them."""
    return np.asarray(BOTTOM - (BOTTOM - TOP) * _share(value, scale))


def _share(value: ArrayLike, scale: Scale) -> NDArray[np.float64]:
    inside = np.clip(np.asarray(value, np.float64), scale.low, scale.high)
    return np.asarray((inside - scale.low) / (scale.high - scale.low))


def _number(tick: int) -> str:
    return str(tick).replace("-", "−")
