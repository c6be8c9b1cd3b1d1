import json
from pathlib import Path

import pytest

from tests.report import samples, sets
from tipvision.causes.explanation import Engine
from tipvision.comparison import earlier
from tipvision.comparison.earlier import earlier_of, earlier_readings
from tipvision.record.as_json import to_json
from tipvision.report.contents import Shown
from tipvision.report.report_json import report_json
from tipvision.report.shop import Shop


def report(path: Path, taken: str | None, label: str = "") -> None:
    path.write_text(report_json([Shown(samples.READ, None, taken)], [label], Engine(), Shop()))


def test_reports_and_records_oldest_first(tmp_path: Path) -> None:
    report(tmp_path / "a.json", "2026:05:12 08:11:00")
    report(tmp_path / "b.json", "2026:03:01 09:00:00")
    lines = [to_json(samples.PALE), "", to_json(samples.NOT_A_PLUG)]
    (tmp_path / "c.jsonl").write_text("\n".join(lines))
    (tmp_path / "notes.txt").write_text("not read")
    got = earlier_readings(tmp_path, None)
    assert got.skipped == ()
    assert [one.taken for one in got.found] == [None, "2026:03:01 09:00:00", "2026:05:12 08:11:00"]
    assert [one.condition for one in got.found] == ["chalk_white", "dry_black", "dry_black"]
    assert got.found[0].lab == pytest.approx((88.0, 0.2, 3.0))


def test_of_a_set_only_the_plug_that_is_asked_for(tmp_path: Path) -> None:
    text = report_json(sets.shown(sets.ONE_DARK), sets.LABELS, Engine(), Shop())
    (tmp_path / "set.json").write_text(text)
    (one,) = earlier_readings(tmp_path, "cylinder 3").found
    assert one.lab[0] == pytest.approx(20.0)
    assert earlier_readings(tmp_path, None).found == ()


def test_what_is_no_record_is_named_and_skipped(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_text("{")
    (tmp_path / "b.json").write_text('{"plugs": [1]}')
    (tmp_path / "c.json").write_bytes(b"\xff\xfe")
    (tmp_path / "d.jsonl").write_text(f'{{"schema": 1}}\n[]\nnonsense\n{to_json(samples.READ)}')
    (tmp_path / "e.json").write_text("[" * 100_000)
    got = earlier_readings(tmp_path, None)
    assert len(got.found) == 1
    assert [fault.split(":")[0] for fault in got.skipped] == [
        "a.json", "b.json", "c.json", "d.jsonl", "d.jsonl", "d.jsonl", "e.json",
    ]  # fmt: skip
    assert all("\n" not in fault for fault in got.skipped)


def test_a_folder_that_cannot_be_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(ValueError, match="is no folder"):
        earlier_readings(tmp_path / "gone", None)
    monkeypatch.setattr(earlier, "MOST_FILES", 1)
    for name in ("a.json", "b.json"):
        (tmp_path / name).write_text("{}")
    with pytest.raises(ValueError, match="smaller"):
        earlier_readings(tmp_path, None)


def test_a_reading_looks_the_same_from_memory_and_from_its_record(tmp_path: Path) -> None:
    (tmp_path / "a.jsonl").write_text(to_json(samples.UNCLEAR))
    (kept,) = earlier_readings(tmp_path, None).found
    now = earlier_of(samples.UNCLEAR, None)
    assert now is not None
    assert kept.lab == pytest.approx(now.lab, abs=0.01)
    assert kept.condition is now.condition is None  # an open answer is no condition
    assert json.loads(to_json(samples.UNCLEAR))["condition"] == "dry_black"
    assert earlier_of(samples.NOT_FOUND, None) is None
