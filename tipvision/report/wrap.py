"""Text laid out in terminal columns: safe to print and never wider than asked."""

import unicodedata
from collections.abc import Iterator


def printable(text: str) -> str:
    """`text` on one line, with whatever could steer a terminal or turn the reading order taken out.

    Control, format (bidirectional marks among them) and surrogate characters become "?".
    """
    spaced = text.translate({ord(c): " " for c in "\t\n\r"})
    return "".join(
        "?" if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp") else c for c in spaced
    )


def columns(text: str) -> int:
    """Terminal columns that `text` takes: 2 for wide East Asian, 0 for combining characters."""
    return sum(_columns_of(c) for c in text)


def _columns_of(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """`text` broken at spaces into lines of at most `width` columns, at least 2 of them for text.

    The first line starts with `first`, the others with `rest` (by default as many spaces). A word
    that fits no line is cut. No-break spaces hold together and come out as plain ones.
    """
    rest = " " * columns(first) if rest is None else rest
    lines: list[str] = []
    line, empty = first, True
    for word in printable(text).split(" "):
        if not word:
            continue
        gap = "" if empty else " "
        if columns(line) + len(gap) + columns(word) <= width:
            line, empty = line + gap + word, False
            continue
        if not empty:
            lines.append(line)
            line = rest
        for piece, more in _cut(word, width - columns(rest), width - columns(line)):
            line += piece
            if more:
                lines.append(line)
                line = rest
        empty = False
    lines.append(line)
    return [done.replace("\u00a0", " ").rstrip() for done in lines]


def _cut(word: str, room: int, room_first: int) -> Iterator[tuple[str, bool]]:
    """Pieces of `word` that fit, each with whether another one follows."""
    piece, left = "", room_first
    for character in word:
        if columns(piece) + _columns_of(character) > left:
            yield piece, True
            piece, left = "", room
        piece += character
    yield piece, False
