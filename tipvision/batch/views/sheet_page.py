"""One page of the sheet: what is gathered for it, and its files."""

import base64
from collections.abc import Callable
from dataclasses import dataclass

from tipvision.batch.store.entry import Entry
from tipvision.batch.views.rows import Row
from tipvision.batch.views.sheet_rows import SheetRows, script
from tipvision.batch.views.tally import Tally
from tipvision.report.wrap import printable

MOST_ROWS = 10_000  # on one page
PICTURES = 100  # thumbnails that one file of the page holds
PLAIN = 50  # rows that also stand in the page itself, for who has scripts off

Write = Callable[[str, bytes], None]
"""Writes a file of that name beside the pages."""


@dataclass(frozen=True)
class PlainRow:
    """What a page shows of a row without its script; picture: data URI, or ""."""

    answer: str
    sure: str
    machine: str
    file: str
    picture: str


class Page:
    """What has been gathered so far of the page of that number, from 1.

    tally: its counts. plain: its first rows. first: name of its first file.
    """

    def __init__(self, number: int, write: Write) -> None:
        self.number = number
        self.tally = Tally()
        self.plain: list[PlainRow] = []
        self.first = ""
        self._write = write
        self._rows = SheetRows()
        self._pictures: list[str] = []
        self._pictured = 0

    def has_room(self, rows: int) -> bool:
        """Whether so many more fit on the page; the first photo always does."""
        return not self.tally.photos or self.tally.rows + rows <= MOST_ROWS

    def add(self, entry: Entry, rows: tuple[Row, ...]) -> None:
        """Take up one photo with its rows."""
        self.first = self.first or printable(entry.name)
        self.tally.add(rows)
        picture = base64.b64encode(entry.thumbnail).decode("ascii") if entry.thumbnail else ""
        number = self._pictured if picture else -1
        for row, record in zip(rows, entry.records or (None,), strict=True):
            answer, sure = self._rows.add(entry, row, record, number)
            if len(self.plain) < PLAIN:
                uri = f"data:image/jpeg;base64,{picture}" if picture else ""
                whose = printable(entry.machine or "")
                self.plain.append(PlainRow(answer, sure, whose, printable(entry.name), uri))
        if picture:
            self._pictures.append(picture)
            self._pictured += 1
            if len(self._pictures) == PICTURES:
                self._write_pictures()

    def close(self) -> None:
        """Write what the page's script fetches."""
        if self._pictures:
            self._write_pictures()
        self._write(f"rows-{self.number}.js", self._rows.script())

    def _write_pictures(self) -> None:
        batch = (self._pictured - 1) // PICTURES
        self._write(
            f"pictures-{self.number}-{batch}.js", script("sheetPictures", batch, self._pictures)
        )
        self._pictures.clear()
