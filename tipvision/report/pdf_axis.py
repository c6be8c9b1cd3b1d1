"""The colour axis of a printed report, from the same drawing as `axis.svg`."""

import math
from collections.abc import Iterator

from reportlab.lib.colors import HexColor, white
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from tipvision.report.axis import Axis, Mark, Swatch
from tipvision.report.pdf_letters import BOLD, PLAIN, drawn
from tipvision.report.pdf_style import INK


class AxisDrawing(Flowable):  # type: ignore[misc]  # reportlab has no types
    """The colour axis, `width` wide, as `axis.svg` draws it."""

    def __init__(self, axis: Axis, width: float) -> None:
        super().__init__()
        self._axis, self._scale = axis, width / axis.width
        self.width, self.height = width, axis.height * self._scale

    def draw(self) -> None:
        canvas, axis = self.canv, self._axis
        canvas.saveState()
        canvas.translate(0, self.height)
        canvas.scale(self._scale, -self._scale)  # from here on in the axis's own units, y down
        for swatch in axis.swatches:
            _swatch(canvas, swatch, axis.swatch_height)
        for one in axis.marks:
            self._mark(one)
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(axis.left, axis.base, axis.right - axis.left, 9)
        canvas.clipPath(frame, stroke=0)
        places, shades = zip(*axis.ramp, strict=True)
        canvas.linearGradient(
            axis.left, axis.base, axis.right, axis.base, list(map(HexColor, shades)), list(places)
        )
        canvas.restoreState()
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.rect(axis.left, axis.base, axis.right - axis.left, 9, stroke=1, fill=0)
        for swatch in axis.swatches:
            _write(canvas, swatch.text_x, swatch.text_y, swatch.title, 12)
        for value, x in axis.ticks[1:-1]:
            _write(canvas, x, axis.base + 22, str(value), 11, "middle")
        _write(canvas, axis.left - 4, axis.base + 22, "0 dark", 11)
        _write(canvas, axis.right + 8, axis.base + 22, "light 100", 11, "end")
        middle = (axis.left + axis.right) / 2
        _write(canvas, middle, axis.base + 22, "lightness L*", 11, "middle")
        canvas.restoreState()

    def _mark(self, one: Mark) -> None:
        canvas = self.canv
        canvas.setStrokeColor(INK)
        if len(self._axis.marks) == 1:
            canvas.setLineWidth(1)
            canvas.setDash(2, 3)
            for x in (one.x0, one.x1):
                canvas.line(x, 4, x, self._axis.base)
            canvas.setDash()
        canvas.setLineWidth(2.4)
        canvas.line(one.x0, one.y, one.x1, one.y)
        for x in (one.x0, one.x1):
            canvas.line(x, one.y - 9, x, one.y + 9)
        canvas.setFillColor(white)
        canvas.circle(one.x, one.y, 14, stroke=0, fill=1)
        canvas.setFillColor(HexColor(one.fill))
        canvas.setLineWidth(1.6)
        canvas.circle(one.x, one.y, 12, stroke=1, fill=1)
        anchor = "end" if one.ends else "start"
        _write(canvas, one.text_x, one.y + 4, one.text, 12.5, anchor, bold=True)


def _swatch(canvas: Canvas, swatch: Swatch, height: float) -> None:
    """A band with its pattern in a light or dark ink, so that it can be told on a grey print."""
    wide = swatch.x1 - swatch.x0
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(swatch.x0, swatch.y, wide, height)
    canvas.clipPath(frame, stroke=0)
    canvas.setFillColor(HexColor(swatch.fill))
    canvas.rect(swatch.x0, swatch.y, wide, height, stroke=0, fill=1)
    canvas.setStrokeColor(white if swatch.dark else HexColor("#000000"))
    canvas.setStrokeAlpha(0.5)
    canvas.setLineWidth(1.0)
    for start, end in _pattern_lines(swatch, height):
        canvas.line(*start, *end)
    if swatch.pattern == "open-dots":
        for row in range(math.ceil(height / 9)):
            for column in range(math.ceil(wide / 9)):
                x, y = swatch.x0 + 9 * column + 4.5, swatch.y + 9 * row + 4.5
                canvas.circle(x, y, 2, stroke=1, fill=0)
    canvas.restoreState()
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1)
    canvas.rect(swatch.x0, swatch.y, wide, height, stroke=1, fill=0)


def _pattern_lines(
    swatch: Swatch, height: float
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """The straight lines of a pattern; a wave is drawn as short ones."""
    x0, x1, y0, y1 = swatch.x0, swatch.x1, swatch.y, swatch.y + height
    if swatch.pattern in ("slanted-lines", "crosshatch"):
        for step in range(int((x1 - x0 + height) / 11) + 1):
            x = x0 - height + 11 * step
            yield (x, y1), (x + height, y0)
            if swatch.pattern == "crosshatch":
                yield (x, y0), (x + height, y1)
    elif swatch.pattern == "waves":
        for row in range(math.ceil(height / 8)):
            y, before = y0 + 8 * row + 4, (x0, y0 + 8 * row + 4)
            for step in range(1, int(x1 - x0) // 2 + 1):
                after = (x0 + 2 * step, y + 2 * math.sin(2 * step * math.pi / 7))
                yield before, after
                before = after


def _write(
    canvas: Canvas,
    x: float,
    y: float,
    text: str,
    size: float,
    anchor: str = "start",
    bold: bool = False,
) -> None:
    """Text in a drawing whose y points down."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(1, -1)
    shown, font = drawn(text, BOLD if bold else PLAIN)
    canvas.setFont(font, size)
    canvas.setFillColor(INK)
    draw = {
        "start": canvas.drawString,
        "middle": canvas.drawCentredString,
        "end": canvas.drawRightString,
    }[anchor]
    draw(0, 0, shown)
    canvas.restoreState()
