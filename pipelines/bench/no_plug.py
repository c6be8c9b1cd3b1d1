"""How often a picture without a plug is answered as if it showed one.

`python -m pipelines.bench.no_plug --photos DIR…` reads every photo of developed sets in or below
the folders that shows no part of a plug, and the chart photos of their stored lights. `--outside
DIR [--part look|count]` reads the rows of `DIR/index.jsonl` that show none. `--rows FILE.npz…
--look L --first N --count M --each K` counts on rows that are measured already: K photos were
developed of each render from number N on; a photo without a row had nothing in it that was taken
for a nose of 20 pixels. All that are named are counted; the last line sums them up.
"""

import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from pipelines.bench.intervals import rate_line
from pipelines.bench.outside import row_says, rows_of
from pipelines.bench.parser import parser_of
from pipelines.condition.figures import judged_rows
from pipelines.condition.rows import Table, read_table
from pipelines.studio.looks import LOOKS
from pipelines.studio.looks.deck import slot
from pipelines.tip_net.listing import Entry, SetFault, listed
from tipvision.condition.model import Model, default_model
from tipvision.reading import read

MOST_ANSWERED = 0.01


@dataclass(frozen=True)
class Count:
    """photos: without a plug. seen: where a plug was taken to be. answered: with a condition."""

    photos: int = 0
    seen: int = 0
    answered: int = 0

    def __add__(self, other: "Count") -> "Count":
        return Count(
            self.photos + other.photos,
            self.seen + other.seen,
            self.answered + other.answered,
        )


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("no_plug", __doc__)
    parser.add_argument("--photos", type=Path, nargs="+", default=[], metavar="DIR")
    parser.add_argument("--outside", type=Path, metavar="DIR")
    parser.add_argument("--part", choices=("look", "count"), help="of --outside, else all")
    parser.add_argument("--rows", type=Path, nargs="+", default=[], metavar="FILE.npz")
    parser.add_argument("--look", choices=LOOKS, help="of --rows")
    parser.add_argument("--first", type=int, metavar="N")
    parser.add_argument("--count", type=int, metavar="M")
    parser.add_argument("--each", type=int, metavar="K")
    options = parser.parse_args(arguments)
    dealt = (options.first, options.count, options.each)
    if options.rows and (options.look is None or None in dealt):
        parser.error("--rows needs --look, --first, --count and --each")
    if not (options.photos or options.outside or options.rows):
        parser.error("name --photos, --outside or --rows")
    whole = Count()
    try:
        if options.photos:
            entries = listed(options.photos)
            whole += told("rendered photos", count_files(without_plug(entries)))
            whole += told("charts of stored lights", count_files(chart_photos(entries)))
        if options.outside:
            files = outside_files(options.outside, options.part)
            whole += told("photos from elsewhere", count_files(files))
        if options.rows:
            table, model = read_table(options.rows), default_model()
            numbers = range(options.first, options.first + options.count)
            of_rows = count_rows(table, model, options.look, numbers, options.each)
            whole += told(f"measured photos of look {options.look}", of_rows)
    except (OSError, ValueError) as error:
        print(f"error: {error}", file=sys.stderr)
        return 1
    told("all pictures", whole)
    return int(whole.photos == 0 or whole.answered > MOST_ANSWERED * whole.photos)


def told(name: str, count: Count) -> Count:
    """The count, once it is printed."""
    for what, hits in (("taken for one", count.seen), ("answered", count.answered)):
        # in tenths of a percent: what is asked for is less than one
        line = rate_line(f"{name} without a plug, {what}", hits, count.photos, decimals=1)
        print(line, flush=True)
    return count


def without_plug(entries: Iterable[Entry]) -> Iterator[Path]:
    """Photos in which nothing of a plug shows, not even what the frame cuts off."""
    return (one.photo for one in entries if not one.truth.plugs and one.mask is None)


def chart_photos(entries: Iterable[Entry]) -> Iterator[Path]:
    """The photos of the chart alone that go with stored lights."""
    for one in entries:
        if one.truth.stored_light is not None:
            yield one.photo.parent / one.truth.stored_light.file


def outside_files(folder: Path, part: str | None) -> Iterator[Path]:
    """Photos of `folder/index.jsonl` that show no plug."""
    for row in rows_of(folder, part):
        if row_says(row) == "not_a_plug":
            yield folder / row["file"]


def count_files(files: Iterable[Path]) -> Count:
    """Read each as `tipvision read` does. Raises SetFault where one cannot be opened."""
    whole = Count()
    for path in files:
        readings = read(str(path))
        if readings[0].outcome == "unreadable":
            raise SetFault(f"{path} cannot be read. Make the set again.")
        whole += Count(
            1,
            int(any(reading.tips for reading in readings)),
            int(any(reading.outcome == "read" for reading in readings)),
        )
    return whole


def count_rows(table: Table, model: Model, look: str, numbers: range, each: int) -> Count:
    """Of the photos that the look deals no plug, by the rows that `pipelines.condition` measured.

    Raises ValueError where a row is of another photo than those of these numbers.
    """
    number = np.array([int(name.split("-")[0]) for name in table.photo], np.int64)
    if number.size and not (numbers[0] <= number.min() and number.max() <= numbers[-1]):
        raise ValueError("the rows hold photos of other numbers; set --first and --count")
    empty = {k for k in numbers if not slot(look, k).plug}
    judged = judged_rows(table.where(np.isin(number, list(empty))), model)
    photos = judged.table.photo
    return Count(
        len(empty) * each,
        len(np.unique(photos)),
        len(np.unique(photos[judged.answered])),
    )


if __name__ == "__main__":
    sys.exit(main())
