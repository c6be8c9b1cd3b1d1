"""The plugs of one engine as a PDF of A4 sheets; four plugs take two."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from tipvision.report.contents import Contents
from tipvision.report.pdf_axis import AxisDrawing
from tipvision.report.pdf_drawings import Picture
from tipvision.report.pdf_parts import (
    cause_table,
    caution_box,
    check_rows,
    number_table,
    side_by_side,
    verdict_boxes,
)
from tipvision.report.pdf_sheet import Gap, Sheets, items, section
from tipvision.report.pdf_style import GUTTER, MARGIN, MM, PAGE_WIDTH, paragraph
from tipvision.report.set_contents import SetContents
from tipvision.report.shop import Shop
from tipvision.report.words import listed, opening, percent

WIDTH = PAGE_WIDTH - 2 * MARGIN
A_ROW = 4  # cards
CARD_HEIGHT = 31.0 * MM


def set_pdf(told: SetContents, shop: Shop | None = None) -> bytes:
    """The same content as the HTML page, the numbers in a small table at the end."""
    about = f"{len(told.plugs)} plugs of one engine"
    imprint = f"Model {told.model} · {told.imprint}" if told.model else told.imprint
    sheets = Sheets(shop or Shop(), told.title, [told.engine.line, about], [imprint])
    sheets.flow([(MARGIN, WIDTH, [*_together(told), *_plugs(told), *_why(told), *_what_now(told)])])
    return sheets.finished()


def _together(told: SetContents) -> list[Flowable]:
    parts: list[Flowable] = [
        paragraph(text, "gloss" if number else "headline")
        for number, text in enumerate(told.compared)
    ]
    if told.engine_verdict:
        parts += [verdict_boxes([("Engine", told.engine_verdict, told.stop)], WIDTH), Gap(3.0)]
    return section("Together", *parts)


def _plugs(told: SetContents) -> list[Flowable]:
    cards = [
        _card(label, one, number in told.comparison.odd, (WIDTH - 3 * GUTTER) / A_ROW)
        for number, (label, one) in enumerate(told.plugs)
    ]
    rows: list[Flowable] = []
    for start in range(0, len(cards), A_ROW):
        row = cards[start : start + A_ROW]
        row += [[Gap(1.0)] for _ in range(A_ROW - len(row))]
        rows.append(side_by_side(row, WIDTH, GUTTER))
    return section("Plug by plug", *rows)


def _card(label: str, one: Contents, odd: bool, width: float) -> list[Flowable]:
    name = opening(label) + (": stands apart" if odd else "")
    parts: list[Flowable] = [paragraph(name, "bold")]
    if one.figures:
        parts += [Picture(one.figures[0][1], width, CARD_HEIGHT), Gap(1.5)]
    taken = f", {one.taken}" if one.taken else ""
    parts += [paragraph(one.name + taken, "soft"), paragraph(one.answer.headline, "card")]
    if one.answer.gloss:
        sure = f" · {one.answer.sure.lower()}: {one.answer.number}" if one.answer.number else ""
        parts.append(paragraph(one.answer.gloss + sure))
    parts += [paragraph(reason.text) for reason in one.reasons]
    if one.findings:
        parts.append(paragraph(listed([f"{n} ({percent(share)})" for n, share in one.findings])))
    if one.plug_verdict:
        parts.append(paragraph(f"Plug: {one.plug_verdict}", "bold"))
    return parts


def _why(told: SetContents) -> list[Flowable]:
    half = (WIDTH - GUTTER) / 2
    colour = (
        [] if told.axis is None else section("Colour of the noses", AxisDrawing(told.axis, half))
    )
    causes: list[Flowable] = [paragraph(told.engine.facts, "soft")] if told.engine.facts else []
    for heading, texts in told.causes:
        causes += [paragraph(heading, "bold"), *items([f"{text} ({rank})" for text, rank in texts])]
    columns = [colour, section("Causes", *causes) if told.causes else []]
    flowables: list[Flowable] = []
    if any(columns):
        flowables.append(side_by_side(columns, WIDTH, GUTTER))
    if told.checks:
        flowables += section("Next checks", check_rows(told.checks, WIDTH))
    return flowables


def _what_now(told: SetContents) -> list[Flowable]:
    half = (WIDTH - GUTTER) / 2
    advice = section("Advice", *items(_named(told.advice))) if told.advice else []
    if told.fitted:
        advice += section("The plug that goes in", *items(told.fitted))
    cautions: list[Flowable] = [caution_box(told.cautions, half)] if told.cautions else []
    decided: list[Flowable] = []
    for label, sentences in told.by_plug:
        decided += [paragraph(opening(label), "bold"), *items(sentences)]
    flowables: list[Flowable] = []
    for columns in (
        [advice, cautions],
        [
            section("What decided, and how strongly", *decided) if decided else [],
            _unseen(told),
        ],
    ):
        if any(columns):
            flowables += [side_by_side(columns, WIDTH, GUTTER), Gap(4.0)]
    return [*flowables, *_numbers(told)]


def _unseen(told: SetContents) -> list[Flowable]:
    """What no photo told, and what light the photos were read under."""
    parts = items(_named(told.unseen))
    parts += [
        paragraph(f"Light of {whose}: {text}." if whose else f"Light: {text}.", "soft")
        for whose, text in told.lights
    ]
    return section("What the tool could not see", *parts) if parts else []


def _named(sentences: Sequence[tuple[str, str]]) -> list[str]:
    """Sentences that do not hold for all plugs begin with those that they hold for."""
    return [f"{opening(whose)}: {text}" if whose else text for whose, text in sentences]


def _numbers(told: SetContents) -> list[Flowable]:
    rows = [
        (
            label,
            ", ".join(one.lab),
            ", ".join(f"{title.lower()} {percent(share)}" for title, share, _ in one.possible),
        )
        for label, one in told.plugs
    ]
    head = ("Plug", "Colour (95 % intervals)", "Answers")
    widths = [24 * MM, 62 * MM, WIDTH - 86 * MM]
    shares = [(text, plugs, percent(share)) for text, plugs, share in told.cause_shares]
    parts: list[Flowable] = [number_table([head, *rows], widths), Gap(4.0)]
    if shares:
        parts.append(cause_table(shares, WIDTH))
    return section("The numbers behind this", *parts)
