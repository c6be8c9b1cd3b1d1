"""The pages of a sheet: which photos stand on which, and what each page says."""

import base64
import hashlib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from markupsafe import Markup

from tipvision.batch.store.entry import Entry
from tipvision.batch.telling.aside_words import aside_words
from tipvision.batch.telling.no_start import DO_NOT_START
from tipvision.batch.views.colour_bins import PLANES, ColourBins
from tipvision.batch.views.colour_plot import key_svg, plane_svg
from tipvision.batch.views.odd_words import odd_words
from tipvision.batch.views.rows import Row
from tipvision.batch.views.sheet_contents import (
    ENGINE,
    STATES,
    Count,
    Counted,
    counted,
    page_counts,
    reason_words,
)
from tipvision.batch.views.sheet_page import PICTURES, Page
from tipvision.batch.views.tally import Tally
from tipvision.report.contents import IMPRINT
from tipvision.report.mark import svg_path
from tipvision.report.picture import png_uri
from tipvision.report.shop import Shop
from tipvision.report.words import CONDITIONS, percent
from tipvision.report.wrap import printable
from tipvision.templates import templates_of

SHEET = "sheet.html"
LEAST_SURE = (50, 70, 85, 95)  # percent that can be asked for
MOST_ASIDE = 20  # folders that are named because they could not be listed
_HOME = f"../../{SHEET}"


@dataclass(frozen=True)
class PageLine:
    """A page as `sheet.html` lists it: its counts by the groups of the whole."""

    address: str
    first: str
    rows: int
    stop: Count
    groups: tuple[Count, ...]


class Pages:
    """The pages written so far, in a folder of their own, and the counts of all."""

    def __init__(self, out: Path, folder: Path, shop: Shop, bins: ColourBins) -> None:
        self.tally = Tally()
        self._bins = bins
        self._digest = hashlib.sha256()
        self._folder, self._shop, self._title = folder, shop, printable(out.resolve().name)
        self._closed: list[tuple[str, Counter[str], int]] = []
        self._page = Page(1, self._write)

    def add(self, entry: Entry, rows: tuple[Row, ...]) -> None:
        """Take up one photo with its rows."""
        if not self._page.has_room(len(rows)):
            self._close_page(is_last=False)
            self._page = Page(self._page.number + 1, self._write)
        self._page.add(entry, rows)
        self.tally.add(rows)

    def close(self) -> str:
        """Write the last page; what the folder is to be called, by its content."""
        if self._closed:
            self._close_page(is_last=True)
        else:
            self._page.close()
        return self._digest.hexdigest()[:16]

    def first_page(self, folder: str, summary: Mapping[str, Any], beside: tuple[str, ...]) -> str:
        """`sheet.html`. folder: address of the folder, with "/". beside: names of other views."""
        alone = not self._closed
        drawn = range(len(PLANES) if self._bins.measured else 0)
        return self._render(
            told=counted(self.tally, "" if alone else None),
            page=self._page.number if alone else 0,
            files=folder,
            first=self._page.plain if alone else (),
            planes=[plane_svg(self._bins, plane) for plane in drawn],
            key=key_svg(self._bins),
            pages=self._lines(folder),
            odd=odd_words(summary, "" if alone else None),
            aside=tuple(aside_words(summary, MOST_ASIDE)),
            ended=summary.get("complete", True),
            made_at=str(summary.get("made_at", ""))[:16].replace("T", " "),
            beside=beside,
        )

    def _close_page(self, is_last: bool) -> None:
        page = self._page
        page.close()
        after = "" if is_last else _name(page.number + 1)
        before = _name(page.number - 1) if page.number > 1 else ""
        html = self._render(
            told=counted(page.tally),
            page=page.number,
            first=page.plain,
            home=_HOME,
            before=before,
            after=after,
        )
        self._write(_name(page.number), html.encode("utf-8"))
        self._closed.append((page.first, page.tally.groups, page.tally.engine[DO_NOT_START]))

    def _lines(self, folder: str) -> list[PageLine]:
        lines = []
        for number, (first, groups, stop) in enumerate(self._closed, 1):
            address = folder + _name(number)
            counts = page_counts(self.tally, groups, stop, address)
            lines.append(PageLine(address, first, groups.total(), *counts))
        return lines

    def _write(self, name: str, content: bytes) -> None:
        (self._folder / name).write_bytes(content)
        self._digest.update(f"{name} {len(content)}\n".encode() + content)

    def _render(self, told: Counted, page: int, **facts: Any) -> str:
        script = Markup(_text("sheet.js"))
        digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
        usual: dict[str, Any] = {
            **{"files": "", "home": "", "before": "", "after": "", "first": ()},
            **{"planes": (), "key": "", "pages": (), "odd": (), "aside": (), "beside": ()},
            **{"ended": True, "made_at": ""},
        }
        return str(
            _environment()
            .get_template(SHEET)
            .render(
                **(usual | facts),
                told=told,
                page=page,
                pictures=PICTURES,
                title=self._title,
                script=script,
                script_digest=digest,
                shop=self._shop.name,
                logo=None if self._shop.logo is None else png_uri(self._shop.logo),
                mark=svg_path(),
                states=STATES,
                conditions={name: words[0] for name, words in CONDITIONS.items()},
                least_sure={least: f"at least {least} %" for least in LEAST_SURE},
                verdicts=ENGINE,
                reasons={code: reason_words(code) for code in sorted(self._page.tally.reasons)},
                imprint=IMPRINT,
            )
        )


def _name(number: int) -> str:
    return f"page-{number}.html"


def _text(name: str) -> str:
    return resources.files("tipvision.batch.views").joinpath(name).read_text("utf-8")


@cache
def _environment() -> Any:
    return templates_of("tipvision.batch.views", percent=percent, grouped=lambda n: f"{n:,}")
