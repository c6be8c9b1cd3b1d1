"""The parts that printed reports of one plug and of a set have in common."""

from collections.abc import Sequence

from reportlab.platypus import Flowable, Table, TableStyle

from tipvision.report.contents import Contents
from tipvision.report.pdf_drawings import Bar, Stripes
from tipvision.report.pdf_style import INK, LINE, MM, paragraph
from tipvision.report.words import percent

PLAIN = TableStyle(
    [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ]
)


def verdict_boxes(boxes: Sequence[tuple[str, str, bool]], width: float) -> Flowable:
    """(what is judged, the verdict, whether it is stop) side by side; stop is white on ink."""
    cells = [
        [paragraph(label.upper(), "soft"), paragraph(said, "verdict")] for label, said, _ in boxes
    ]
    shares = [0.43, 0.57] if len(boxes) == 2 else [1.0 / len(boxes)] * len(boxes)
    style = [
        ("BOX", (0, 0), (-1, -1), 1.4, INK),
        ("INNERGRID", (0, 0), (-1, -1), 1.4, INK),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
    ]
    for column, (_, _, stop) in enumerate(boxes):
        if stop:
            style.append(("BACKGROUND", (column, 0), (column, 0), INK))
    table = Table([cells], colWidths=[width * share for share in shares])
    table.setStyle(TableStyle(style))
    return table


def answer_bars(told: Contents, width: float) -> list[Flowable]:
    """How probable each answer is, as bars."""
    if not told.possible:
        return []
    rows = [
        [
            paragraph(title, "bold" if allowed else "body"),
            Bar(share, allowed, width - 52 * MM),
            paragraph(percent(share), "bold" if allowed else "body"),
        ]
        for title, share, allowed in told.possible
    ]
    table = Table(rows, colWidths=[30 * MM, width - 48 * MM, 18 * MM])
    table.setStyle(PLAIN)
    words = (
        "How probable each answer is. Filled: what this photo allows, meant to hold the truth"
        f" {percent(told.coverage or 0.0)} of the time."
    )
    parts: list[Flowable] = [paragraph(words, "soft"), table]
    if told.faint:
        each = "under 1 % each" if told.faint_count > 1 else "under 1 %"
        parts.append(paragraph(f"{told.faint}: {each}", "soft"))
    return parts


def check_rows(checks: Sequence[tuple[int, str, str]], width: float) -> Flowable:
    rows = [
        [
            paragraph(f"{minutes} min", "bold"),
            paragraph(f"{text} ({heed})" if heed else text),
        ]
        for minutes, text, heed in checks
    ]
    table = Table(rows, colWidths=[12.5 * MM, width - 12.5 * MM])
    table.setStyle(PLAIN)
    return table


def side_by_side(parts: Sequence[Sequence[Flowable]], width: float, gutter: float) -> Flowable:
    """Columns of equal width; an empty one leaves its room to the others."""
    filled = [list(part) for part in parts if part]
    wide = (width - gutter * (len(filled) - 1)) / len(filled)
    table = Table(
        [filled],
        colWidths=[wide + (gutter if i < len(filled) - 1 else 0) for i in range(len(filled))],
    )
    table.setStyle(
        TableStyle(
            [
                *PLAIN.getCommands(),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                *[("RIGHTPADDING", (i, 0), (i, 0), gutter) for i in range(len(filled) - 1)],
            ]
        )
    )
    return table


def caution_box(cautions: Sequence[str], width: float) -> Flowable:
    """The cautions, numbered, in a box under stripes."""
    rows: list[list[Flowable]] = [[Stripes(width)], [paragraph("Cautions", "card")]]
    rows += [[paragraph(text, "caution", str(n))] for n, text in enumerate(cautions, 1)]
    table = Table(rows, colWidths=[width])
    table.setStyle(
        TableStyle(
            [
                ("BOX", (0, 0), (-1, -1), 1.8, INK),
                ("LEFTPADDING", (0, 1), (-1, -1), 6),
                ("RIGHTPADDING", (0, 1), (-1, -1), 5),
                ("TOPPADDING", (0, 0), (-1, -1), 0.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
                ("LEFTPADDING", (0, 0), (0, 0), 0),
                ("TOPPADDING", (0, 1), (0, 1), 4),
                ("BOTTOMPADDING", (0, -1), (0, -1), 4),
            ]
        )
    )
    return table


def number_table(rows: Sequence[Sequence[str]], widths: Sequence[float]) -> Flowable:
    """A small table of figures; its first row is the head."""
    cells = [[paragraph(text, "soft") for text in row] for row in rows]
    table = Table(cells, colWidths=list(widths), repeatRows=1)
    table.setStyle(TableStyle([*PLAIN.getCommands(), ("LINEBELOW", (0, 0), (-1, -2), 0.4, LINE)]))
    return table


def cause_table(shares: Sequence[Sequence[str]], width: float) -> Flowable:
    """Rows of a cause, perhaps the plugs that it is of, and its share; at least one row."""
    last = 16 * MM
    between = [30 * MM] * (len(shares[0]) - 2)
    head = ("Cause", "Plugs", "Share") if between else ("Cause", "Share")
    return number_table([head, *shares], [width - last - sum(between), *between, last])
