"""Letters of a printed report: those that the standard fonts of PDF lack come from DejaVu Sans."""

import importlib.util
import re
import unicodedata
from functools import cache
from pathlib import Path
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN, BOLD = "Helvetica", "Helvetica-Bold"
_WIDER = {PLAIN: "DejaVuSans", BOLD: "DejaVuSans-Bold"}
"""Each standard font, and which of the fonts that matplotlib brings stands in for it."""

_LEFTWARD = ("R", "AL", "AN")  # bidirectional classes, Unicode Standard Annex 9
_UNSEEN = ("Cc", "Cf")  # general categories of what has no shape: controls, joiners, marks of order


def drawn(text: str, font: str = PLAIN) -> tuple[str, str]:
    """What to draw, and in which font, where a drawing takes one font alone: `font` where it has
    all letters. A letter that no font here has becomes "?"; the HTML report has them all."""
    text = unicodedata.normalize("NFC", re.sub(r"[\t\n\v\f\r]", " ", text))
    text = "".join(letter for letter in text if unicodedata.category(letter) not in _UNSEEN)
    if all(map(_is_western, text)):
        return text, font
    wider = _registered(_WIDER[font])
    return _shown(text, wider), wider


def markup(text: str, font: str = PLAIN) -> str:
    """`text` for a paragraph in `font`, never as markup of its own; words that it cannot write are
    set in the font that stands in for it."""

    def word(found: re.Match[str]) -> str:
        shown, taken = drawn(found.group(), font)
        return escape(shown) if taken == font else f'<font name="{taken}">{escape(shown)}</font>'

    return re.sub(r"\S+", word, text)


def _shown(text: str, font: str) -> str:
    known = pdfmetrics.getFont(font).face.charToGlyph
    return "".join(
        letter
        if letter == " "
        or (ord(letter) in known and unicodedata.bidirectional(letter) not in _LEFTWARD)
        else "?"
        for letter in text
    )


@cache
def _registered(name: str) -> str:
    """The font's name, once reportlab knows it. Matplotlib is asked where it lies, not loaded."""
    found = importlib.util.find_spec("matplotlib")
    assert found is not None
    assert found.origin is not None
    folder = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"
    pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
    return name


def _is_western(letter: str) -> bool:
    try:
        letter.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return letter.isprintable() or letter == "\u00a0"
