"""All views of a batch, written in one pass over what it holds."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from tipvision.batch.store.entry import Entry
from tipvision.batch.telling.summary import SUMMARY_FILE
from tipvision.batch.views.cells import cells_of
from tipvision.batch.views.colour_bins import ColourBins
from tipvision.batch.views.colour_plot import colours_file
from tipvision.batch.views.csv_table import csv_table
from tipvision.batch.views.parquet_table import has_parquet, parquet_table
from tipvision.batch.views.record_lines import record_lines
from tipvision.batch.views.rows import rows_of
from tipvision.batch.views.sheet import sheet
from tipvision.batch.views.sheet_pages import SHEET
from tipvision.files import write_whole
from tipvision.report.shop import Shop

RECORDS, TABLE, TYPED_TABLE = "records.jsonl", "readings.csv", "readings.parquet"
COLOURS = "colours.svg"


def write_views(
    out: Path,
    entries: Callable[[], Iterator[Entry]],
    summary: Mapping[str, Any],
    shop: Shop | None = None,
) -> tuple[Path, ...]:
    """Write every view into the folder `out`, each whole or not at all, in bounded memory.

    entries: begins at the first photo of the batch each time it is called. summary: as
    `telling.summary.summary_of` gives it. shop: whose sheet it is; None is the default.
    Returns the files that a person opens. Without pyarrow there is no Parquet table (`left_out`
    says so), and one of an earlier run goes, for it would tell something else than the others.
    Raises OSError where something cannot be written; the views that were there then stand.
    """
    bins = ColourBins()
    typed = [TYPED_TABLE] if has_parquet() else []
    named = [RECORDS, TABLE, *typed, COLOURS]
    with ExitStack() as views:
        put_records = views.enter_context(record_lines(out / RECORDS))
        tables = [views.enter_context(csv_table(out / TABLE))]
        tables += [views.enter_context(parquet_table(out / name)) for name in typed]
        put_on_sheet = views.enter_context(
            sheet(out, summary, shop or Shop(), (*named, SUMMARY_FILE), bins)
        )
        for entry in entries():
            rows = rows_of(entry)
            put_records(entry)
            for row in rows:
                bins.add(row)
                cells = cells_of(row)
                for put in tables:
                    put(cells)
            put_on_sheet(entry, rows)
    if not typed:
        (out / TYPED_TABLE).unlink(missing_ok=True)
    write_whole(out / COLOURS, colours_file(bins).encode("utf-8"))
    return tuple(out / name for name in (SHEET, *named))


def left_out() -> tuple[str, ...]:
    """One line for each view that cannot be written here, with what to do."""
    if has_parquet():
        return ()
    return (f"{TYPED_TABLE} is left out. To have it: pip install 'tipvision[tables]'.",)
