import csv
from pathlib import Path

import pyarrow.parquet
import pytest

from tests.batch.views.made import batch
from tipvision.batch.views import parquet_table as module
from tipvision.batch.views.cells import NAMES, cells_of
from tipvision.batch.views.csv_table import csv_table
from tipvision.batch.views.parquet_table import parquet_table
from tipvision.batch.views.rows import rows_of

PARSED = {
    pyarrow.string(): str,
    pyarrow.int64(): int,
    pyarrow.float64(): float,
}


@pytest.mark.parametrize("group", [7, 10_000])
def test_both_tables_hold_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, group: int
) -> None:
    """Read back by pyarrow and by the standard library."""
    monkeypatch.setattr(module, "GROUP", group)
    cells = [cells_of(row) for one in batch(70) for row in rows_of(one)]
    with csv_table(tmp_path / "t.csv") as left, parquet_table(tmp_path / "t.parquet") as right:
        for one in cells:
            left(one)
            right(one)
    table = pyarrow.parquet.read_table(tmp_path / "t.parquet")
    assert tuple(table.column_names) == NAMES
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as stream:
        read = list(csv.DictReader(stream))
    assert len(read) == table.num_rows == len(cells)
    for field in table.schema:
        column = table[field.name].to_pylist()
        parse = PARSED[field.type]
        assert [parse(r[field.name]) if r[field.name] else None for r in read] == column
    groups = pyarrow.parquet.ParquetFile(tmp_path / "t.parquet").metadata.num_row_groups
    assert groups == -(-len(cells) // group)


def test_the_columns_are_typed_and_say_what_they_are(tmp_path: Path) -> None:
    with parquet_table(tmp_path / "t.parquet"):
        pass
    schema = pyarrow.parquet.read_schema(tmp_path / "t.parquet")
    types = {name: str(schema.field(name).type) for name in NAMES}
    assert types["file"] == types["machine"] == types["reasons"] == "string"
    assert types["lab_l"] == types["sd_b"] == types["probability"] == types["nose_px"] == "double"
    assert types["cylinder"] == types["plug"] == types["cct_k"] == "int64"
    assert b"D65" in schema.field("lab_l").metadata[b"meaning"]
    assert pyarrow.parquet.read_table(tmp_path / "t.parquet").num_rows == 0
