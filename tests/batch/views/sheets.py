"""Sheets written for the tests, and how they are read back."""

from collections.abc import Iterable
from pathlib import Path

from tests.report.outline import Outline
from tipvision.batch.store.entry import Entry
from tipvision.batch.views.colour_bins import ColourBins
from tipvision.batch.views.rows import rows_of
from tipvision.batch.views.sheet import FOLDER, sheet
from tipvision.batch.views.sheet_pages import SHEET
from tipvision.batch.views.tally import Tally
from tipvision.report.shop import Shop


class Read(Outline):
    """A page that asks for something."""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        super().handle_starttag(tag, attrs)
        if tag == "input":  # has no end
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        super().handle_endtag(tag)
        self.text += " " if tag in ("th", "td") else ""


def write_sheet(
    out: Path, entries: Iterable[Entry], shop: Shop | None = None, **summary: object
) -> Tally:
    tally, bins = Tally(), ColourBins()
    with sheet(out, summary, shop or Shop(), ("readings.csv",), bins) as put:
        for one in entries:
            rows = rows_of(one)
            tally.add(rows)
            for row in rows:
                bins.add(row)
            put(one, rows)
    return tally


def page_of(out: Path) -> str:
    return (out / SHEET).read_text("utf-8")


def pages_in(out: Path) -> list[Path]:
    return [out / SHEET, *sorted(out.glob(f"{FOLDER}/*/page-*.html"))]
