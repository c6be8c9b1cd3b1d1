"""The values of a row as they stand in a table, the same in every format.

A file name is not ours: one that begins with "=" would be a formula to a spreadsheet. Such a name
gets "./" in front, which names the same file; any other text gets an apostrophe. The same is done
after a semicolon, where spreadsheets of many countries begin the next cell. Characters that break
a line, steer a terminal or are no text at all stand as backslash escapes.
"""

import re
from dataclasses import fields

from tipvision.batch.views.rows import Row

Cell = str | int | float | None
Cells = tuple[Cell, ...]

NAMES = tuple(field.name for field in fields(Row))
FILES = frozenset({"file", "same_as"})  # columns whose text is the name of a file

# What spreadsheets take for the beginning of a formula, the wide forms of it included.
_FORMULA = "=+\\-@＝＋－＠"
_AT_START = re.compile(f"^(?=[{_FORMULA}])")
_UNSEEN = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_AFTER_SEMICOLON = re.compile(f";(?=[{_FORMULA}])")


def cells_of(row: Row) -> Cells:
    """The values in the order of `NAMES`; text is harmless in a spreadsheet, and is UTF-8."""
    return tuple(_cell(name, getattr(row, name)) for name in NAMES)


def _cell(name: str, value: Cell) -> Cell:
    return harmless(value, name in FILES) if isinstance(value, str) else value


def harmless(text: str, is_file: bool = False) -> str:
    """Text that a spreadsheet takes for text; other text as it stands."""
    visible = _UNSEEN.sub(lambda found: _escaped(found[0]), text)
    return _AFTER_SEMICOLON.sub(";'", _AT_START.sub("./" if is_file else "'", visible))


def _escaped(character: str) -> str:
    return character.encode("unicode_escape").decode("ascii")
