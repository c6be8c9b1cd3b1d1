"""Sheets of a printed report: head, foot, and columns of text that run on to more sheets."""

import io
from collections.abc import Sequence

from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Frame, KeepInFrame

from tipvision import __version__
from tipvision.report.pdf_drawings import draw_mark
from tipvision.report.pdf_letters import BOLD, PLAIN, drawn
from tipvision.report.pdf_style import (
    INK,
    LINE,
    MARGIN,
    MM,
    PAGE_HEIGHT,
    PAGE_WIDTH,
    SOFT,
    paragraph,
)
from tipvision.report.shop import Shop

HEAD, TOP, FOOT = 12.0 * MM, 7.0 * MM, 9.0 * MM
_LEAST_ROOM = 48.0  # points, of a heading and a few lines

Column = tuple[float, float, list[Flowable]]  # x and width in points, what flows down it


class Sheets:
    """A PDF in the making; the same contents give the same bytes."""

    def __init__(self, shop: Shop, title: str, about: Sequence[str], foot: Sequence[str]) -> None:
        self._stream = io.BytesIO()
        self._canvas = Canvas(
            self._stream, pagesize=(PAGE_WIDTH, PAGE_HEIGHT), invariant=1, pageCompression=1
        )
        self._canvas.setTitle(drawn(f"Firing-end report: {title}")[0])
        self._canvas.setCreator(f"tipvision {__version__}")
        self._canvas.setAuthor(drawn(shop.name)[0])
        self._shop, self._title, self._about, self._foot = shop, title, about, foot
        self._count = 0

    def flow(self, columns: Sequence[Column]) -> None:
        """Set columns side by side, on as many sheets as it takes."""
        while any(not isinstance(one, Gap) for _, _, flowables in columns for one in flowables):
            top = self._head()
            for x, width, flowables in columns:
                frame = Frame(x, FOOT, width, top - FOOT, 0, 0, 0, 0)
                before = len(flowables)
                frame.addFromList(flowables, self._canvas)
                if before and len(flowables) == before:  # the first is higher than a whole sheet
                    flowables[:1] = _fitted(flowables[0], width, top - FOOT - 1)
                    frame.addFromList(flowables, self._canvas)
            self._canvas.showPage()

    def finished(self) -> bytes:
        self._canvas.save()
        return self._stream.getvalue()

    def _head(self) -> float:
        """Head and foot of a new sheet; the y below which its text may stand."""
        self._count += 1
        self._draw_foot()
        canvas, low = self._canvas, PAGE_HEIGHT - TOP - HEAD
        canvas.setStrokeColor(INK)
        canvas.setFillColor(INK)
        canvas.setLineWidth(1.4)
        nick, left, right = 4.4 * MM, MARGIN, PAGE_WIDTH - MARGIN
        tag = canvas.beginPath()  # a parts tag with its eyelet
        for number, (x, y) in enumerate(
            (
                (left + nick, low),
                (left, low + nick),
                (left, low + HEAD - nick),
                (left + nick, low + HEAD),
                (right, low + HEAD),
                (right, low),
            )
        ):
            to = tag.lineTo if number else tag.moveTo
            to(x, y)
        tag.close()
        canvas.drawPath(tag, stroke=1, fill=0)
        eyelet = (left + 5.0 * MM, low + HEAD / 2)
        canvas.circle(*eyelet, 1.6 * MM, stroke=1, fill=0)
        canvas.circle(*eyelet, 0.8 * MM, stroke=0, fill=1)
        x = self._draw_logo(left + 9.5 * MM, low)
        name, font = drawn(self._shop.name)
        canvas.setFont(font, 8)
        canvas.drawString(x, low + 8.0 * MM, name)
        canvas.setFont(BOLD, 15)
        canvas.drawString(x, low + 2.6 * MM, "Firing-end report")
        room = right - 3.5 * MM - x - stringWidth("Firing-end report", BOLD, 15) - 10
        below = [text for text in self._about if text]
        heights = (8.0, 4.7, 1.6) if len(below) > 1 else (6.8, 2.8)
        for number, (text, up) in enumerate(zip((self._title, *below), heights, strict=False)):
            weight, size = (PLAIN, 8.5) if number else (BOLD, 11.0)
            shown, font = drawn(text, weight)
            canvas.setFont(font, size)
            shown = _cut(shown, font, size, room)
            canvas.drawRightString(right - 3.5 * MM, low + up * MM, shown)
        return low - 3.0 * MM

    def _draw_logo(self, x: float, low: float) -> float:
        """The shop's logo or our own mark; where the words may begin."""
        if self._shop.logo is None:
            draw_mark(self._canvas, x, low + 1.2 * MM, 9.6 * MM)
            return x + 12.0 * MM
        logo = ImageReader(io.BytesIO(self._shop.logo))
        width, height = logo.getSize()
        scale = min(26.0 * MM / width, 9.6 * MM / height)
        middle = low + (HEAD - height * scale) / 2
        self._canvas.drawImage(logo, x, middle, width * scale, height * scale)
        return float(x + width * scale + 2.4 * MM)

    def _draw_foot(self) -> None:
        canvas = self._canvas
        canvas.setStrokeColor(LINE)
        canvas.setLineWidth(0.5)
        canvas.line(MARGIN, FOOT - 1.0 * MM, PAGE_WIDTH - MARGIN, FOOT - 1.0 * MM)
        canvas.setFillColor(SOFT)
        canvas.setFont(PLAIN, 6.6)
        canvas.drawRightString(PAGE_WIDTH - MARGIN, FOOT - 3.8 * MM, f"sheet {self._count}")
        for row, text in enumerate(self._foot):
            shown, font = drawn(text)
            canvas.setFont(font, 6.6)
            shown = _cut(shown, font, 6.6, PAGE_WIDTH - 2 * MARGIN - 40)
            canvas.drawString(MARGIN, FOOT - 3.8 * MM - 2.9 * MM * row, shown)


def section(title: str, *flowables: Flowable) -> list[Flowable]:
    """A heading under its rule, and what belongs to it."""
    return [_Ruled(), paragraph(title.upper(), "heading"), *flowables, Gap(4.0)]


def items(texts: Sequence[str]) -> list[Flowable]:
    return [paragraph(text, "item", "–") for text in texts]


def _fitted(flowable: Flowable, width: float, height: float) -> list[Flowable]:
    """What is too high for a sheet in pieces, or made smaller where it has none; never left out."""
    pieces: list[Flowable] = flowable.split(width, height)
    return pieces or [KeepInFrame(width, height, [flowable], mode="shrink")]


class Gap(Flowable):  # type: ignore[misc]  # reportlab has no types
    """Empty height; unlike reportlab's own it is kept at the top of a sheet as well."""

    def __init__(self, height: float) -> None:
        super().__init__()
        self.width, self.height = 0.0, height

    def draw(self) -> None:
        """Nothing is drawn."""


_RULE = 3.0


class _Ruled(Flowable):  # type: ignore[misc]
    """The rule over a heading; it goes to the next sheet where nothing would fit below it.

    Once it has found room it keeps its height: a table asks it again with the height of its row.
    """

    def __init__(self) -> None:
        super().__init__()
        self.width, self.height = 0.0, _LEAST_ROOM

    def wrap(self, width: float, room: float) -> tuple[float, float]:
        self.width = width
        if self.height != _RULE:
            self.height = _RULE if room > _LEAST_ROOM else _LEAST_ROOM
        return width, self.height

    def draw(self) -> None:
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(1.4)
        self.canv.line(0, 2.0, self.width, 2.0)


def _cut(text: str, font: str, size: float, room: float) -> str:
    while text and stringWidth(text, font, size) > room:
        text = f"{text[:-2].rstrip(' .')}…" if len(text) > 2 else ""
    return text
