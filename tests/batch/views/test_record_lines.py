from dataclasses import replace
from pathlib import Path

from tests.batch.views.made import batch, entry
from tests.report import samples
from tipvision.batch.views.record_lines import record_lines
from tipvision.record.as_json import to_json
from tipvision.record.check import faults_in


def test_the_lines_are_those_that_reading_prints(tmp_path: Path) -> None:
    kinds = list(samples.ALL.values())
    with record_lines(tmp_path / "records.jsonl") as put:
        for number, reading in enumerate(kinds):
            put(entry(f"{number}.jpg", reading))
        put(entry("copy.jpg", state="duplicate", same_as="0.jpg"))
        put(entry("set.jpg", kinds[0], kinds[1]))
    expected = [to_json(replace(one, photo=f"{i}.jpg")) for i, one in enumerate(kinds)]
    expected += [to_json(replace(one, photo="set.jpg")) for one in kinds[:2]]
    assert (tmp_path / "records.jsonl").read_text("ascii") == "".join(f"{e}\n" for e in expected)


def test_every_line_is_a_valid_record(tmp_path: Path) -> None:
    entries = list(batch(60))
    with record_lines(tmp_path / "records.jsonl") as put:
        for one in entries:
            put(one)
    lines = (tmp_path / "records.jsonl").read_bytes().splitlines()
    assert len(lines) == sum(len(one.records) for one in entries)
    assert not [fault for line in lines for fault in faults_in(line.decode())]
