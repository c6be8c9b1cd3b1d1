"""Letters, lines and spaces of a printed report."""

from reportlab.lib.colors import HexColor, white
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from tipvision.report.pdf_letters import BOLD, PLAIN, markup

INK, SOFT, LINE = HexColor("#16242c"), HexColor("#44535b"), HexColor("#8b979d")
MM = 72.0 / 25.4
PAGE_WIDTH, PAGE_HEIGHT = 210.0 * MM, 297.0 * MM  # A4, ISO 216
MARGIN = 10.0 * MM
GUTTER = 5.0 * MM

_BODY = ParagraphStyle(
    "body", fontName=PLAIN, fontSize=7.6, leading=9.2, textColor=INK, spaceAfter=1.6
)
STYLES = {
    "body": _BODY,
    "soft": ParagraphStyle("soft", _BODY, fontSize=7.0, leading=8.4, textColor=SOFT),
    "item": ParagraphStyle("item", _BODY, leftIndent=8, bulletFontSize=7.6),
    "bold": ParagraphStyle("bold", _BODY, fontName=BOLD, spaceBefore=1.0),
    "heading": ParagraphStyle(
        "heading", _BODY, fontName=BOLD, fontSize=8.4, leading=10, spaceAfter=2
    ),
    "headline": ParagraphStyle(
        "headline", _BODY, fontName=BOLD, fontSize=19, leading=21, spaceAfter=3
    ),
    "card": ParagraphStyle("card", _BODY, fontName=BOLD, fontSize=11, leading=12, spaceAfter=2),
    "gloss": ParagraphStyle("gloss", _BODY, fontSize=10.5, leading=12.5, spaceAfter=4),
    "verdict": ParagraphStyle(
        "verdict", _BODY, fontName=BOLD, fontSize=11, leading=12.5, spaceAfter=0
    ),
    "caution": ParagraphStyle(
        "caution",
        _BODY,
        leftIndent=12,
        leading=9.0,
        bulletFontName=BOLD,
        bulletFontSize=7.6,
    ),
}

STYLES |= {
    f"{name} on ink": ParagraphStyle(f"{name} on ink", STYLES[name], textColor=white)
    for name in ("soft", "verdict")
}


def paragraph(text: str, style: str = "body", bullet: str | None = None) -> Paragraph:
    """Text as it stands, never as markup."""
    return Paragraph(markup(text, STYLES[style].fontName), STYLES[style], bulletText=bullet)
