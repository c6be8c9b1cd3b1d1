import csv
from pathlib import Path

from tests.batch.views.made import batch
from tipvision.batch.views.cells import NAMES, cells_of
from tipvision.batch.views.csv_table import csv_table
from tipvision.batch.views.rows import rows_of


def test_the_table_follows_rfc_4180(tmp_path: Path) -> None:
    """One record a line, CRLF, a head line, as many fields in each, quotes doubled in quotes."""
    rows = [row for one in batch(40) for row in rows_of(one)]
    with csv_table(tmp_path / "t.csv") as put:
        for row in rows:
            put(cells_of(row))
    content = (tmp_path / "t.csv").read_bytes()
    assert content.count(b"\r\n") == content.count(b"\n") == content.count(b"\r") == len(rows) + 1
    assert not content.startswith(b"\xef\xbb\xbf")
    text = content.decode("utf-8")
    assert '"./=HYPERLINK(""http://x"").jpg"' in text
    read = list(csv.reader(text.splitlines(), strict=True))
    assert tuple(read[0]) == NAMES
    assert {len(line) for line in read} == {len(NAMES)}
    assert [line[0] for line in read[1:]] == [cells_of(row)[0] for row in rows]


def test_a_batch_of_nothing_has_a_head_line(tmp_path: Path) -> None:
    with csv_table(tmp_path / "t.csv"):
        pass
    assert (tmp_path / "t.csv").read_text("utf-8").strip() == ",".join(NAMES)
