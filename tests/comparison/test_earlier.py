import json
from dataclasses import replace
from pathlib import Path

import pytest

from tests.report import samples, sets
from tipvision.causes.explanation import Engine
from tipvision.comparison import earlier
from tipvision.comparison.earlier import Whose, earlier_of, earlier_readings, whose
from tipvision.record.as_json import to_json
from tipvision.report.contents import Shown
from tipvision.report.report_json import report_json
from tipvision.report.shop import Shop

TB_07 = whose(samples.READ.photo, None, None)


def report(path: Path, taken: str | None, label: str = "") -> None:
    path.write_text(report_json([Shown(samples.READ, None, taken)], [label], Engine(), {}, Shop()))


def test_reports_and_records_oldest_first(tmp_path: Path) -> None:
    report(tmp_path / "a.json", "2026:05:12 08:11:00")
    report(tmp_path / "b.json", "2026:03:01 09:00:00")
    pale = replace(samples.PALE, photo=samples.READ.photo)
    lines = [to_json(pale), "", to_json(samples.NOT_A_PLUG)]
    (tmp_path / "c.jsonl").write_text("\n".join(lines))
    (tmp_path / "notes.txt").write_text("not read")
    got = earlier_readings(tmp_path, TB_07)
    assert got.skipped == got.others == ()
    assert [one.taken for one in got.found] == [None, "2026:03:01 09:00:00", "2026:05:12 08:11:00"]
    assert [one.condition for one in got.found] == ["chalk_white", "dry_black", "dry_black"]
    assert got.found[0].lab == pytest.approx((88.0, 0.2, 3.0))


def test_of_a_set_only_the_plug_that_is_asked_for(tmp_path: Path) -> None:
    text = report_json(sets.shown(sets.ONE_DARK), sets.LABELS, Engine(), {}, Shop())
    (tmp_path / "set.json").write_text(text)
    (one,) = earlier_readings(tmp_path, whose("SX-01-b.jpg", None, "cylinder 3")).found
    assert one.lab[0] == pytest.approx(20.0)
    got = earlier_readings(tmp_path, TB_07)
    assert got.found == () and got.others == sets.LABELS


def test_what_is_no_record_is_named_and_skipped(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_text("{")
    (tmp_path / "b.json").write_text('{"plugs": [1]}')
    (tmp_path / "c.json").write_bytes(b"\xff\xfe")
    (tmp_path / "d.jsonl").write_text(f'{{"schema": 1}}\n[]\nnonsense\n{to_json(samples.READ)}')
    (tmp_path / "e.json").write_text("[" * 100_000)
    got = earlier_readings(tmp_path, TB_07)
    assert len(got.found) == 1
    assert [fault.split(":")[0] for fault in got.skipped] == [
        "a.json", "b.json", "c.json", "d.jsonl", "d.jsonl", "d.jsonl", "e.json",
    ]  # fmt: skip
    assert all("\n" not in fault for fault in got.skipped)


def test_a_folder_that_cannot_be_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(ValueError, match="is no folder"):
        earlier_readings(tmp_path / "gone", TB_07)
    monkeypatch.setattr(earlier, "MOST_FILES", 1)
    for name in ("a.json", "b.json"):
        (tmp_path / name).write_text("{}")
    with pytest.raises(ValueError, match="smaller"):
        earlier_readings(tmp_path, TB_07)


def test_a_reading_looks_the_same_from_memory_and_from_its_record(tmp_path: Path) -> None:
    (tmp_path / "a.jsonl").write_text(to_json(samples.UNCLEAR))
    plug = whose(samples.UNCLEAR.photo, None, None)
    (kept,) = earlier_readings(tmp_path, plug).found
    now = earlier_of(samples.UNCLEAR, None)
    assert now is not None and kept.shows_the_photo_of(now)
    assert kept.condition is now.condition is None  # an open answer is no condition
    assert json.loads(to_json(samples.UNCLEAR))["condition"] == "dry_black"
    assert earlier_of(samples.NOT_FOUND, None) is None


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        (("TB-07-a.jpg", None, None), ("tb-07-2026-05-12.png", None, None), True),
        (("TB-07-a.jpg", None, None), ("QD-03-a.jpg", None, None), False),
        (("sx-01-cyl1.jpg", None, None), ("sx-01-cyl2.jpg", None, None), False),
        (("sx-01-cyl2.jpg", None, None), ("IMG_1.jpg", "SX-01", "cylinder 2"), False),
        (("IMG_0007.jpg", "SX-01", "cylinder 2"), ("sx-01-cyl2.jpg", "sx-01", None), True),
        (("IMG_0007.jpg", "SX-01", "cylinder 2"), ("a.jpg", "SX-01", "cylinder 1"), False),
        (("IMG_0007.jpg", "SX-01", None), ("IMG_0101.jpg", "QD-03", None), False),
        (("IMG_0007.jpg", "TB-07", None), ("old.jpg", "TB-07", None), True),
        (("sx-01-cyl2.jpg", None, None), ("qd-03-cyl2.jpg", None, None), False),
        (("IMG_0007.jpg", None, "left"), ("IMG_0101.jpg", None, "left"), True),
    ],
)
def test_plugs_are_told_apart_by_machine_label_and_name(one, other, alike) -> None:
    assert whose(*one).is_of(whose(*other)) is whose(*other).is_of(whose(*one)) is alike


def test_plugs_of_other_machines_do_not_mix(tmp_path: Path) -> None:
    for machine in ("TB-07", "QD-03"):
        text = report_json([Shown(samples.READ)], [""], Engine(name=machine), {}, Shop())
        (tmp_path / f"{machine}.json").write_text(text)
    got = earlier_readings(tmp_path, Whose(machine="QD-03"))
    assert (len(got.found), got.others) == (1, ("TB-07",))
    with pytest.raises(ValueError, match="QD-03, TB-07: say which"):
        earlier_readings(tmp_path, TB_07)
