import csv
import json
import tracemalloc
from pathlib import Path

import pytest

from tests.batch.views.made import batch, entry
from tests.report import samples
from tipvision.batch.views import parquet_table, sheet_page, write
from tipvision.batch.views.write import left_out, write_views

ALL = {"sheet.html", "records.jsonl", "readings.csv", "readings.parquet", "colours.svg"}


def test_every_view_is_written_and_named(tmp_path: Path) -> None:
    entries = list(batch(40))
    paths = write_views(tmp_path, lambda: iter(entries), {})
    assert {path.name for path in paths} == ALL and all(path.is_file() for path in paths)
    assert {p.name for p in tmp_path.iterdir()} == ALL | {"sheet"}
    lines = (tmp_path / "records.jsonl").read_text("ascii").splitlines()
    with (tmp_path / "readings.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == sum(len(one.records) or 1 for one in entries)
    read = [row for row in rows if row["state"] not in ("duplicate", "skipped")]
    assert [json.loads(line)["outcome"] for line in lines] == [row["state"] for row in read]
    assert left_out() == ()


def test_without_pyarrow_its_table_is_left_out_and_an_old_one_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "readings.parquet").write_bytes(b"of an earlier run")
    monkeypatch.setattr(parquet_table, "find_spec", lambda _: None)
    paths = write_views(tmp_path, lambda: batch(5), {})
    assert {path.name for path in paths} == ALL - {"readings.parquet"}
    assert not (tmp_path / "readings.parquet").exists()
    (line,) = left_out()
    assert "readings.parquet" in line and "tipvision[tables]" in line and "\n" not in line
    assert "parquet" not in (tmp_path / "sheet.html").read_text("utf-8")


@pytest.mark.parametrize(("fails_at", "parquet"), [(0, True), (15, True), (15, False)])
def test_a_run_that_fails_leaves_all_views_as_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int, parquet: bool
) -> None:
    write_views(tmp_path, lambda: batch(8), {})
    monkeypatch.setattr(write, "has_parquet", lambda: parquet)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}

    def broken():
        yield from batch(fails_at)
        raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space"):
        write_views(tmp_path, broken, {})
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_memory_hardly_grows_with_the_batch(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sheet_page, "MOST_ROWS", 50)
    monkeypatch.setattr(parquet_table, "GROUP", 50)
    one = entry("a.jpg", samples.READ, machine="TB-07")
    peaks, sizes = [], []
    for count in (100, 100, 500):  # the first loads what is loaded once
        tracemalloc.start()
        write_views(tmp_path, lambda count=count: (one for _ in range(count)), {})
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        sizes.append(sum(p.stat().st_size for p in tmp_path.rglob("*") if p.is_file()))
    assert peaks[2] - peaks[1] < 0.1 * (sizes[2] - sizes[1])  # pages and row groups are counted
    assert write.TABLE == "readings.csv"
