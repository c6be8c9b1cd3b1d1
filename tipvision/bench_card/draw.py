"""The bench card as a printable page."""

from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from tipvision.bench_card.layout import Layout, load_layout
from tipvision.bench_card.markers import marker_modules
from tipvision.bench_card.raster import tick_height

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PAGE_WIDTH, PAGE_HEIGHT = 210.0, 297.0  # A4, mm
CARD_TOP = 16.0  # mm from the top edge of the page
MARGIN = 22.0  # mm, of the text
GREY = 0.45  # of cutting lines and small lettering: plainly visible, and never taken for a marker

MAKING = (
    "Print this page at 100 %, never “fit to page”, on thick matt paper.",
    "Measure the 100 mm ruler. If it is more than half a millimetre out, the print is no good: "
    "set the printer to 100 % and print again.",
    "Cut along the outer line. Cut out the four windows. Cut the seat hole on the solid circle "
    "for threads up to M14, on the dashed circle for M18.",
    "From a photographer’s 18 % grey card (neutral, reflectance 0.18) cut two strips of "
    "88 × 24 mm. Stick one behind the upper and one behind the lower pair of windows, grey side "
    "to the front, flat, and clear of the seat hole.",
    "Oil, soot or sun on the windows spoils the colour: then make a new card.",
)
USING = (
    "Stand the plug on its terminal, firing end up, in a deep socket or a hole in a block of wood.",
    "Lower the card over the threads, print up, until the plug’s seat carries it (its hex, if the "
    "seat slips through). It should lie level and flat.",
    "Use one kind of light and no flash. No shadow and no shine on the windows.",
    "Look into the firing end from straight above, with all four square markers in the photo. "
    "Tap the nose on the phone’s screen to focus.",
)
CARE = (
    "Engine cold before a plug comes out: a hot aluminium head can lose its thread. Ignition off.",
    "Plug out and cool before it goes into the card: a hot one burns fingers and paper.",
    "A photo is one clue, not proof: confirm by test before parts are bought or mixture "
    "is changed.",
)


def draw_card(target: str | Path | BinaryIO) -> None:
    """Write the bench card as a PDF of one A4 page, everything on it in vectors.

    target: a path, or a binary stream open for writing. The same version writes the same bytes
    every time. Raises OSError where the path cannot be written.
    """
    from reportlab.pdfgen.canvas import Canvas

    layout = load_layout()
    where = str(target) if isinstance(target, Path) else target
    size = (_pt(PAGE_WIDTH), _pt(PAGE_HEIGHT))
    canvas = Canvas(where, pagesize=size, invariant=1, pageCompression=1)
    canvas.setTitle(f"Bench card {layout.version}")
    canvas.setSubject("Shows light, scale and place of a spark plug's firing end in a photo")
    canvas.saveState()
    # From here on in the card's own millimetres, y down.
    canvas.translate(_pt((PAGE_WIDTH - layout.width) / 2), _pt(PAGE_HEIGHT - CARD_TOP))
    canvas.scale(_pt(1.0), -_pt(1.0))
    _cutting_lines(canvas, layout)
    _markers(canvas, layout)
    _ruler(canvas, layout)
    _lettering(canvas, layout)
    canvas.restoreState()
    _words(canvas, CARD_TOP + layout.height + 13.0)
    canvas.showPage()
    canvas.save()


def _pt(mm: float) -> float:
    return mm * 72.0 / 25.4


def _cutting_lines(canvas: "Canvas", layout: Layout) -> None:
    canvas.setStrokeGray(GREY)
    canvas.setLineWidth(0.15)
    canvas.rect(0, 0, layout.width, layout.height, stroke=1, fill=0)
    for x in (0.0, layout.width):
        for y in (0.0, layout.height):
            outward = (-1 if x == 0 else 1), (-1 if y == 0 else 1)
            canvas.line(x + 1.5 * outward[0], y, x + 6 * outward[0], y)
            canvas.line(x, y + 1.5 * outward[1], x, y + 6 * outward[1])
    for window in layout.windows:
        canvas.rect(*window.area.corners[0], window.area.width, window.area.height)
    x, y = layout.seat.centre
    canvas.circle(x, y, layout.seat.cut_diameter / 2)
    canvas.setDash(0.9, 0.7)
    canvas.circle(x, y, layout.seat.wide_diameter / 2)
    canvas.setDash()
    for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        inner, outer = layout.seat.wide_diameter / 2 + 1, layout.seat.wide_diameter / 2 + 4
        canvas.line(x + dx * inner, y + dy * inner, x + dx * outer, y + dy * outer)


def _markers(canvas: "Canvas", layout: Layout) -> None:
    canvas.setFillGray(0.0)
    for marker in layout.markers:
        # One path a marker, so that no hairline of paper shows between two black modules.
        path = canvas.beginPath()
        left, top = marker.area.corners[0]
        for row, modules in enumerate(marker_modules(layout.dictionary, marker.id)):
            start = None
            for column, black in enumerate([*modules.tolist(), False]):
                if black and start is None:
                    start = column
                elif not black and start is not None:
                    path.rect(
                        left + start * marker.module,
                        top + row * marker.module,
                        (column - start) * marker.module,
                        marker.module,
                    )
                    start = None
        canvas.drawPath(path, stroke=0, fill=1)


def _ruler(canvas: "Canvas", layout: Layout) -> None:
    x, y = layout.ruler.start
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.15)
    canvas.line(x, y, x + layout.ruler.length, y)
    for mm in range(round(layout.ruler.length) + 1):
        canvas.line(x + mm, y, x + mm, y - tick_height(mm))
        if mm % 10 == 0:
            _text(
                canvas, x + mm, y + 2.9, f"{mm} mm" if mm == layout.ruler.length else f"{mm}", 2.4
            )


def _lettering(canvas: "Canvas", layout: Layout) -> None:
    canvas.setFillGray(GREY)
    for window in layout.windows:
        x, y = window.area.centre
        _text(canvas, x, y - 0.8, "cut out", 2.4)
        _text(canvas, x, y + 2.6, "grey card behind", 1.9)
    x, y = layout.seat.centre
    _text(canvas, x, y - 0.6, "to M14", 2.4)
    _text(canvas, x, y + 2.4, "seat", 2.4)
    _text(canvas, x + layout.seat.wide_diameter / 2 + 8, y + 0.9, "M18", 2.4)
    _text(canvas, layout.width / 2, 12.0, f"Bench card {layout.version}", 4.2)
    _text(canvas, layout.width / 2, 16.4, "this edge away from you", 2.4)


def _text(canvas: "Canvas", x: float, y: float, words: str, height: float) -> None:
    """Words centred on x with their foot at y, upright although the card's y runs down."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(1, -1)
    canvas.setFont("Helvetica", height)
    canvas.drawCentredString(0, 0, words)
    canvas.restoreState()


def _words(canvas: "Canvas", top: float) -> None:
    """Two columns below the card, and the cautions across the page."""
    gutter = 10.0
    column = (PAGE_WIDTH - 2 * MARGIN - gutter) / 2
    left = _block(canvas, "Making the card", MAKING, (MARGIN, top), column)
    right = _block(canvas, "Taking the photo", USING, (MARGIN + column + gutter, top), column)
    rule = max(left, right) + 3.0
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(_pt(0.3))
    height = _pt(PAGE_HEIGHT - rule)
    canvas.line(_pt(MARGIN), height, _pt(PAGE_WIDTH - MARGIN), height)
    _block(canvas, "Take care", CARE, (MARGIN, rule + 8.0), PAGE_WIDTH - 2 * MARGIN)


def _block(
    canvas: "Canvas", title: str, steps: tuple[str, ...], at: tuple[float, float], width: float
) -> float:
    """A heading and its numbered steps from `at` down, mm; returns where they end (mm, y down)."""
    from reportlab.lib.utils import simpleSplit

    x, y = at
    indent = 5.5
    canvas.setFillGray(0.0)
    canvas.setFont("Helvetica-Bold", 12)
    canvas.drawString(_pt(x), _pt(PAGE_HEIGHT - y), title)
    y += 6.5
    for number, step in enumerate(steps, 1):
        canvas.setFont("Helvetica-Bold", 9.5)
        canvas.drawString(_pt(x), _pt(PAGE_HEIGHT - y), f"{number}")
        canvas.setFont("Helvetica", 9.5)
        for line in simpleSplit(step, "Helvetica", 9.5, _pt(width - indent)):
            canvas.drawString(_pt(x + indent), _pt(PAGE_HEIGHT - y), line)
            y += 4.4
        y += 1.4
    return y
