"""The drawn parts of a printed report: photo with outline, bars, stripes, mark."""

import io
import math
import re
from collections.abc import Iterator

from reportlab.lib.colors import HexColor, white
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from tipvision.report.mark import SIDE, mark
from tipvision.report.pdf_style import INK, LINE
from tipvision.report.picture import Figure, jpeg_of


class Picture(Flowable):  # type: ignore[misc]  # reportlab has no types
    """A figure, at most `height` high and `width` wide, with the outlines of the noses."""

    def __init__(self, figure: Figure, width: float, height: float) -> None:
        super().__init__()
        box = figure.box
        self._figure = figure
        self._scale = min(width / box.width, height / box.height)
        self.width, self.height = box.width * self._scale, box.height * self._scale

    def draw(self) -> None:
        canvas, box = self.canv, self._figure.box
        photo = ImageReader(io.BytesIO(jpeg_of(self._figure)))
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(0, 0, self.width, self.height)
        canvas.clipPath(frame, stroke=0)
        canvas.drawImage(photo, 0, 0, self.width, self.height)
        for thick, colour in ((3.0, white), (1.0, HexColor("#000000"))):
            canvas.setLineWidth(thick)
            canvas.setStrokeColor(colour)
            for ring in _rings(self._figure.paths):
                path = canvas.beginPath()
                for number, (x, y) in enumerate(ring):
                    to = path.lineTo if number else path.moveTo
                    to((x - box.x0) * self._scale, self.height - (y - box.y0) * self._scale)
                path.close()
                canvas.drawPath(path, stroke=1, fill=0)
        canvas.restoreState()
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.rect(0, 0, self.width, self.height, stroke=1, fill=0)
        for x, y, number in self._figure.numbers:
            _haloed(
                canvas,
                (x - box.x0) * self._scale,
                self.height - (y - box.y0) * self._scale + 3,
                str(number),
            )


def _rings(paths: tuple[str, ...]) -> Iterator[list[tuple[float, float]]]:
    """The rings of SVG path data as `picture.path_of` writes it."""
    for path in paths:
        for part in path.split("M")[1:]:
            numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", part)]
            yield list(zip(numbers[::2], numbers[1::2], strict=True))


def _haloed(canvas: Canvas, x: float, y: float, text: str) -> None:
    canvas.setFont("Helvetica-Bold", 10)
    canvas.setFillColor(white)
    for step in range(8):
        turn = step * math.pi / 4
        canvas.drawCentredString(x + 0.9 * math.cos(turn), y + 0.9 * math.sin(turn), text)
    canvas.setFillColor(INK)
    canvas.drawCentredString(x, y, text)


class Bar(Flowable):  # type: ignore[misc]
    """A probability as a bar: filled for what the photo allows, open for what it does not."""

    def __init__(self, share: float, allowed: bool, width: float) -> None:
        super().__init__()
        self._share, self._allowed = share, allowed
        self.width, self.height = width, 7.0

    def draw(self) -> None:
        canvas = self.canv
        canvas.setStrokeColor(LINE)
        canvas.setLineWidth(0.6)
        canvas.line(0, 3.5, self.width, 3.5)
        canvas.setStrokeColor(INK)
        canvas.setFillColor(INK if self._allowed else white)
        canvas.setLineWidth(0.8)
        canvas.rect(0, 0.5, max(self.width * self._share, 1.2), 6, stroke=1, fill=1)


class Stripes(Flowable):  # type: ignore[misc]
    """The slanted stripes over the cautions."""

    def __init__(self, width: float) -> None:
        super().__init__()
        self.width, self.height = width, 9.0

    def draw(self) -> None:
        canvas = self.canv
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(0, 0, self.width, self.height)
        canvas.clipPath(frame, stroke=0)
        canvas.setFillColor(INK)
        for step in range(-1, int(self.width / 12) + 2):
            path = canvas.beginPath()
            path.moveTo(12 * step, 0)
            path.lineTo(12 * step + 6, 0)
            path.lineTo(12 * step + 6 + self.height, self.height)
            path.lineTo(12 * step + self.height, self.height)
            path.close()
            canvas.drawPath(path, stroke=0, fill=1)
        canvas.restoreState()


def draw_mark(canvas: Canvas, x: float, y: float, side: float) -> None:
    """Our own mark in a square with its lower left corner at (x, y)."""
    canvas.setFillColor(INK)
    for polygon in mark():
        path = canvas.beginPath()
        for number, (px, py) in enumerate(polygon):
            to = path.lineTo if number else path.moveTo
            to(x + side * px / SIDE, y + side * (1 - py / SIDE))
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
