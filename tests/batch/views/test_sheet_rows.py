import json

import numpy as np
import pytest

from tests.batch.views.made import HOSTILE, batch, entry
from tests.report import samples
from tipvision.batch.views.rows import rows_of
from tipvision.batch.views.sheet_rows import SheetRows, reading_of, script
from tipvision.record.as_json import to_record
from tipvision.report.answer import answer, findings, plug_words
from tipvision.report.axis import hex_colour


def told_of(content: bytes) -> dict:
    text = content.decode("ascii")
    assert text.startswith("sheetRows(") and text.endswith(");\n")
    return json.loads(text[len("sheetRows(") : -3])


def added(*entries) -> dict:
    rows = SheetRows()
    for number, one in enumerate(entries):
        for row, record in zip(rows_of(one), one.records or (None,), strict=True):
            rows.add(one, row, record, number)
    return told_of(rows.script())


@pytest.mark.parametrize("reading", samples.ALL.values(), ids=samples.ALL)
def test_an_answer_of_a_record_is_that_of_its_reading(reading) -> None:
    again = reading_of(to_record(reading))
    assert answer(again) == answer(reading)
    assert plug_words(again) == plug_words(reading)
    assert findings(again) == findings(reading)


def test_a_row_in_numbers_and_words() -> None:
    told = added(entry("TB-07/a.jpg", samples.READ, machine="TB-07", cylinder=2))
    words, (row,) = told["words"], told["rows"]
    assert row[:2] == ["TB-07/a.jpg", 0]
    assert told["labels"][row[2]] == "dry_black"
    assert [label for k, label in enumerate(told["labels"]) if row[3] >> k & 1] == ["dry_black"]
    assert (row[4], words[row[5]], words[row[6]]) == (93.0, "Dry black", "93\u00a0% sure")
    assert (words[row[7]], row[8], words[row[9]], row[10]) == (
        "one side dark or a soot ring",
        [],
        "TB-07",
        2,
    )
    assert f"#{row[12]:06x}" == hex_colour(np.array([22.4, 0.7, 1.6]))
    assert (row[13], told["engine"][0][row[15]]) == (22, "check")
    assert words[row[16]] == "Replace it"
    assert words[row[17]] == "The air filter is dirty or over-oiled."
    assert "bench card" in words[row[18]] and row[19] == ""


def test_what_is_not_settled_is_not_sure() -> None:
    told = added(entry("a.jpg", samples.UNCLEAR), entry("b.jpg", state="duplicate", same_as="a"))
    unclear, copy = told["rows"]
    assert (unclear[4], copy[4]) == (-1, -1)
    assert bin(unclear[3]).count("1") == 2
    reasons = [told["words"][word] for word in unclear[8]]
    assert reasons[0] == "dry_or_wet" and len(reasons) == 3
    assert (told["words"][copy[5]], copy[19]) == ("Same file as another", "a")


def test_the_script_is_ascii_and_nothing_in_it_ends_it() -> None:
    content = script("f", 1, list(HOSTILE), {"a": "</script><!--"})
    assert b"<" not in content and content.isascii()
    shown = [row[0] for row in added(*list(batch(11)))["rows"]]
    assert "?gpj.exe" in shown and "bad??.jpg" in shown and "new line  tab.jpg" in shown
    assert "<script>alert(1)</script>.jpg" in shown
