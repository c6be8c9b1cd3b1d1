"""The readings of a batch as Parquet, with typed columns that say what they hold.

pyarrow (45 MB to fetch, 176 MB installed) is too much for a shop that wants a spreadsheet: it comes
with the extra `tables`, and without it this table is left out.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import fields
from importlib.util import find_spec
from pathlib import Path
from typing import Any, get_args

from tipvision.batch.views.cells import Cells
from tipvision.batch.views.rows import Row
from tipvision.batch.views.streamed import streamed

GROUP = 10_000  # rows that are held and written together


def has_parquet() -> bool:
    """Whether what writes this table is installed."""
    return find_spec("pyarrow") is not None


@contextmanager
def parquet_table(path: Path) -> Iterator[Callable[[Cells], object]]:
    """Writes the cells of each row it is given, `GROUP` at a time.

    Raises ImportError without pyarrow.
    """
    import pyarrow.parquet

    schema = _schema()
    held: list[Cells] = []
    with streamed(path) as stream, pyarrow.parquet.ParquetWriter(stream, schema) as writer:

        def flush() -> None:
            columns = zip(schema, zip(*held, strict=True), strict=True)
            arrays = [pyarrow.array(values, field.type) for field, values in columns]
            writer.write_table(pyarrow.Table.from_arrays(arrays, schema=schema))
            held.clear()

        def put(cells: Cells) -> None:
            held.append(cells)
            if len(held) == GROUP:
                flush()

        yield put
        if held:
            flush()


def _schema() -> Any:
    import pyarrow

    kinds = {str: pyarrow.string(), int: pyarrow.int64(), float: pyarrow.float64()}
    return pyarrow.schema(
        pyarrow.field(
            column.name,
            next(kinds[kind] for kind in kinds if kind in (column.type, *get_args(column.type))),
            metadata={"meaning": column.metadata["meaning"]},
        )
        for column in fields(Row)
    )
