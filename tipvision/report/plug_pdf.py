"""The reading of one photo as a PDF of A4 sheets, mostly one."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from tipvision.report.contents import Contents
from tipvision.report.pdf_axis import AxisDrawing
from tipvision.report.pdf_drawings import Picture
from tipvision.report.pdf_parts import (
    answer_bars,
    cause_table,
    caution_box,
    check_rows,
    number_table,
    side_by_side,
    verdict_boxes,
)
from tipvision.report.pdf_sheet import Gap, Sheets, items, section
from tipvision.report.pdf_style import GUTTER, MARGIN, MM, PAGE_WIDTH, paragraph
from tipvision.report.shop import Shop
from tipvision.report.words import listed, percent

LEFT = 58.0 * MM
RIGHT = PAGE_WIDTH - 2 * MARGIN - LEFT - GUTTER
ENDLESS = 1e6
CLOSE_UP_HEIGHT, PHOTO_HEIGHT = 38.0 * MM, 28.0 * MM


def plug_pdf(told: Contents, shop: Shop | None = None) -> bytes:
    """The same content as the HTML page, the numbers in a small table at the end."""
    title = f"{told.name}, {told.plug}" if told.plug else told.name
    foot = [f"Light: {told.light}." if told.light else "", _imprint(told)]
    about = [told.engine.line, f"taken {told.taken}" if told.taken else ""]
    sheets = Sheets(shop or Shop(), title, about, [f for f in foot if f])
    aside = _aside(told)
    said = _said(told, RIGHT if aside else PAGE_WIDTH - 2 * MARGIN)
    if aside:  # the numbers stand under it, where there is room; read aloud they come last
        (said if _fits_beside(told) else aside).extend(_fitted(told))
        aside += _numbers(told, LEFT)
        sheets.flow([(MARGIN + LEFT + GUTTER, RIGHT, said), (MARGIN, LEFT, aside)])
    else:
        said += [*_fitted(told), *_numbers(told, PAGE_WIDTH - 2 * MARGIN)]
        sheets.flow([(MARGIN, PAGE_WIDTH - 2 * MARGIN, said)])
    return sheets.finished()


def _fits_beside(told: Contents) -> bool:
    """Whether the wide column, with what goes in, stays shorter than the narrow one would."""
    fitted = _fitted(told)
    said = [*_said(told, RIGHT), *fitted]
    aside = [*_aside(told), *fitted, *_numbers(told, LEFT)]
    return _height(said, RIGHT) <= _height(aside, LEFT)


def _height(flowables: Sequence[Flowable], width: float) -> float:
    """Of a column of that width on one endless sheet, without the spaces that headings ask for.

    The flowables are spent by it: some keep the place that they were measured for.
    """
    return float(sum(one.wrap(width, ENDLESS)[1] for one in flowables))


def _fitted(told: Contents) -> list[Flowable]:
    return section("The plug that goes in", *items(told.fitted)) if told.fitted else []


def _imprint(told: Contents) -> str:
    return f"Model {told.model} · {told.imprint}" if told.model else told.imprint


def _aside(told: Contents) -> list[Flowable]:
    """The narrow column: photos and cautions."""
    flowables: list[Flowable] = []
    for number, (caption, figure) in enumerate(told.figures):
        flowables.append(Picture(figure, LEFT, PHOTO_HEIGHT if number else CLOSE_UP_HEIGHT))
        seen = f"; seen {told.view}" if told.view and not number else ""
        flowables += [Gap(1.0), paragraph(caption + seen, "soft"), Gap(2.0)]
    if told.cautions:
        flowables += [caution_box(told.cautions, LEFT), Gap(5.0)]
    return flowables


def _said(told: Contents, width: float) -> list[Flowable]:
    """The wide column, plain language first."""
    answer: list[Flowable] = [paragraph(told.answer.headline, "headline")]
    if told.answer.gloss:
        sure = f" · {told.answer.sure.lower()}: {told.answer.number}" if told.answer.number else ""
        answer.append(paragraph(told.answer.gloss + sure, "gloss"))
    for reason in told.reasons:
        answer += [paragraph(reason.text, "bold"), paragraph(reason.remedy)]
    if told.plug_verdict and told.engine_verdict:
        boxes = [("Plug", told.plug_verdict, False), ("Engine", told.engine_verdict, told.stop)]
        answer += [Gap(2.0), verdict_boxes(boxes, width), Gap(4.0)]
    answer += answer_bars(told, width)
    if told.findings:
        found = listed([f"{name} ({percent(share)})" for name, share in told.findings])
        answer.append(paragraph(f"Findings: {found}", "bold"))
    flowables = section("Answer", *answer)
    if told.looked_for:
        flowables += section("What was looked for", *items(told.looked_for))
        flowables += section("How to go on", *items(told.retake))
    if told.decided:
        flowables += section("What decided, and how strongly", *items(told.decided))
    if told.axis is not None:
        drawing = AxisDrawing(told.axis, 0.92 * width)
        trend = [] if told.trend is None else [paragraph(told.trend)]
        flowables += section(f"Colour of the nose: {told.colour}", drawing, *trend)
    half = (width - GUTTER) / 2
    columns = [_causes(told), _checks(told, half)]
    if any(columns):
        flowables.append(side_by_side(columns, width, GUTTER))
    if told.advice:
        flowables += section("Advice", *items(told.advice))
    if told.unseen:
        flowables += section("What the tool could not see", *items(told.unseen))
    return flowables


def _causes(told: Contents) -> list[Flowable]:
    if not told.causes:
        return []
    parts: list[Flowable] = [paragraph(told.engine.facts, "soft")] if told.engine.facts else []
    for rank, texts in told.causes:
        parts += [paragraph(rank, "bold"), *items(texts)]
    if told.causes_left:
        parts.append(paragraph(f"and {told.causes_left} more", "soft"))
    return section("Causes", *parts)


def _checks(told: Contents, width: float) -> list[Flowable]:
    if not told.checks:
        return []
    parts: list[Flowable] = [check_rows(told.checks, width)]
    if told.checks_left:
        parts.append(paragraph(f"and {told.checks_left} more", "soft"))
    return section("Next checks", *parts)


def _numbers(told: Contents, width: float) -> list[Flowable]:
    if not told.distances:
        return []
    shares = [(text, percent(share)) for text, share in told.cause_shares]
    bands = [
        ("Band, nearest first", "CIEDE2000", "Share of the nose"),
        *((title, f"{distance:.1f}", percent(share)) for distance, title, share in told.distances),
    ]
    parts: list[Flowable] = [
        paragraph(f"Colour of the nose: {', '.join(told.lab)} (95 % intervals).", "soft"),
        number_table(bands, [width - 34 * MM, 17 * MM, 17 * MM]),
    ]
    if shares:
        parts += [Gap(4.0), cause_table(shares, width)]
    return section("The numbers behind this", *parts)
