"""The sheet of a batch: pages to look through in a browser, from a disk and without a network.

`sheet.html` holds all counts, and the plugs of a batch that fits on one page; a longer one has a
page for each `MOST_ROWS`. What the pages fetch lies in a folder of `sheet/` with a name of its own:
the new folder is whole before `sheet.html` points to it, and only then the old one goes.
"""

import re
import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import Any

from tipvision.batch.store.entry import Entry
from tipvision.batch.views.colour_bins import ColourBins
from tipvision.batch.views.rows import Row
from tipvision.batch.views.sheet_pages import SHEET, Pages
from tipvision.files import write_whole
from tipvision.report.shop import Shop

FOLDER = "sheet"
_UNFINISHED = ".part"
_OURS = re.compile(r"[0-9a-f]{16}-[0-9]+")


@contextmanager
def sheet(
    out: Path,
    summary: Mapping[str, Any],
    shop: Shop,
    beside: tuple[str, ...],
    bins: ColourBins,
) -> Iterator[Callable[[Entry, tuple[Row, ...]], None]]:
    """Writes each photo that it is given, with its rows, into the sheet of `out`.

    summary: of the batch. beside: names of the views that it points to. bins: of the colours, which
    the caller fills until the block ends. A block that fails leaves the old sheet. Raises OSError
    where it cannot be written.
    """
    folder = out / FOLDER
    folder.mkdir(exist_ok=True)
    unfinished = folder / _UNFINISHED
    shutil.rmtree(unfinished, ignore_errors=True)  # of a run that was killed
    unfinished.mkdir()
    final = unfinished
    try:
        pages = Pages(out, unfinished, shop, bins)
        yield pages.add
        digest = pages.close()
        names = (folder / f"{digest}-{again}" for again in count(1))
        final = unfinished.rename(next(name for name in names if not name.exists()))
        page = pages.first_page(f"{FOLDER}/{final.name}/", summary, beside)
        write_whole(out / SHEET, page.encode("utf-8"))
    except BaseException:
        shutil.rmtree(final, ignore_errors=True)
        raise
    for other in folder.iterdir():
        if other != final and _OURS.fullmatch(other.name):
            shutil.rmtree(other, ignore_errors=True)
