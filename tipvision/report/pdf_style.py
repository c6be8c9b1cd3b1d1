"""Letters, lines and spaces of a printed report."""

import unicodedata
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor, white
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

INK, SOFT, LINE = HexColor("#16242c"), HexColor("#44535b"), HexColor("#8b979d")
MM = 72.0 / 25.4
PAGE_WIDTH, PAGE_HEIGHT = 210.0 * MM, 297.0 * MM  # A4, ISO 216
MARGIN = 10.0 * MM
GUTTER = 5.0 * MM

_BODY = ParagraphStyle(
    "body", fontName="Helvetica", fontSize=7.6, leading=9.2, textColor=INK, spaceAfter=1.6
)
STYLES = {
    "body": _BODY,
    "soft": ParagraphStyle("soft", _BODY, fontSize=7.0, leading=8.4, textColor=SOFT),
    "item": ParagraphStyle("item", _BODY, leftIndent=8, bulletFontSize=7.6),
    "bold": ParagraphStyle("bold", _BODY, fontName="Helvetica-Bold", spaceBefore=1.0),
    "heading": ParagraphStyle(
        "heading", _BODY, fontName="Helvetica-Bold", fontSize=8.4, leading=10, spaceAfter=2
    ),
    "headline": ParagraphStyle(
        "headline", _BODY, fontName="Helvetica-Bold", fontSize=19, leading=21, spaceAfter=3
    ),
    "card": ParagraphStyle(
        "card", _BODY, fontName="Helvetica-Bold", fontSize=11, leading=12, spaceAfter=2
    ),
    "gloss": ParagraphStyle("gloss", _BODY, fontSize=10.5, leading=12.5, spaceAfter=4),
    "verdict": ParagraphStyle(
        "verdict", _BODY, fontName="Helvetica-Bold", fontSize=11, leading=12.5, spaceAfter=0
    ),
    "caution": ParagraphStyle(
        "caution",
        _BODY,
        leftIndent=12,
        leading=9.0,
        bulletFontName="Helvetica-Bold",
        bulletFontSize=7.6,
    ),
}

STYLES |= {
    f"{name} on ink": ParagraphStyle(f"{name} on ink", STYLES[name], textColor=white)
    for name in ("soft", "verdict")
}

# Letters that neither the standard fonts nor a decomposition has.
_PLAIN = str.maketrans({"Ł": "L", "ł": "l", "Đ": "D", "đ": "d", "≥": ">=", "≤": "<=", "−": "-"})


def paragraph(text: str, style: str = "body", bullet: str | None = None) -> Paragraph:
    """Text as it stands, never as markup."""
    return Paragraph(safe(text), STYLES[style], bulletText=bullet)


def safe(text: str) -> str:
    """Markup for `text` in the standard fonts of PDF, which have Western letters.

    An accent that they lack is dropped, any other letter becomes "?"; the HTML report has them all.
    """
    return "".join(map(_shown, escape(drawable(text))))


def drawable(text: str) -> str:
    """`text` in Western letters, for what is drawn and not set as a paragraph; Δ is kept."""
    letters = []
    for letter in text.translate(_PLAIN):
        plain = letter
        if letter != "Δ" and not _is_western(letter):
            bare = [c for c in unicodedata.normalize("NFKD", letter) if _is_western(c)]
            plain = "".join(bare) or "?"
        letters.append(plain)
    return "".join(letters)


def _shown(letter: str) -> str:
    return '<font name="Symbol">D</font>' if letter == "Δ" else letter


def _is_western(letter: str) -> bool:
    try:
        letter.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return letter.isprintable() or letter == "\u00a0"
