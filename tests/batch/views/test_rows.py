from dataclasses import asdict, fields, replace

import pytest

from tests.batch.views.made import entry
from tests.report import samples
from tipvision.batch.views.rows import Row, rows_of
from tipvision.record.as_json import to_record


def test_a_row_says_what_the_record_says() -> None:
    (row,) = rows_of(entry("TB-07/a.jpg", samples.READ, machine="TB-07", cylinder=2))
    record = to_record(samples.READ)
    colour = record["colour"]
    assert (row.file, row.state, row.machine, row.cylinder) == ("TB-07/a.jpg", "read", "TB-07", 2)
    assert (row.condition, row.probability, row.possible) == ("dry_black", 0.93, "dry_black")
    assert row.findings == "uneven"
    assert [row.lab_l, row.lab_a, row.lab_b] == colour["lab"]
    assert [row.sd_l, row.sd_a, row.sd_b] == colour["sd"]
    nearest = min(colour["bands"], key=colour["bands"].get)
    assert (row.nearest_band, row.band_distance) == (nearest, colour["bands"][nearest])
    assert (row.nose_px, row.view) == (record["tip"]["nose_px"], "end_on")
    assert (row.light, row.cct_k) == ("bench_card", 4100)
    assert (row.plug_verdict, row.engine_verdict) == ("replace", "check")
    assert (row.first_cause, row.reasons) == ("air_filter_dirty", None)
    assert (row.plug, row.plugs, row.model, len(row.digest or "")) == (1, 1, "default 1", 64)


@pytest.mark.parametrize("reading", samples.ALL.values(), ids=samples.ALL)
def test_every_kind_of_reading_has_a_row(reading) -> None:
    (row,) = rows_of(entry("a.jpg", reading))
    assert row.state == reading.outcome
    assert row.reasons == (" ".join(r.code for r in reading.reasons) or None)
    assert (row.lab_l is None) == (reading.measurement is None)


def test_where_none_fits_the_probability_is_that_of_none() -> None:
    (row,) = rows_of(entry("a.jpg", samples.ONLY_FINDINGS))
    assert (row.condition, row.probability, row.possible) == (None, 0.88, "none")


def test_a_photo_has_a_row_for_each_plug() -> None:
    readings = (replace(samples.READ, plug=(1, 2)), replace(samples.PALE, plug=(2, 2)))
    rows = rows_of(entry("set.jpg", *readings))
    assert [(row.plug, row.plugs, row.condition) for row in rows] == [
        (1, 2, "dry_black"),
        (2, 2, "chalk_white"),
    ]


@pytest.mark.parametrize("state", ["duplicate", "skipped"])
def test_a_file_without_a_reading_has_a_row_that_says_so(state: str) -> None:
    (row,) = rows_of(entry("b.jpg", state=state, same_as="a.jpg", digest=""))
    told = {key: value for key, value in asdict(row).items() if value is not None}
    assert told == {"file": "b.jpg", "state": state, "same_as": "a.jpg"}


def test_every_column_says_what_it_means() -> None:
    assert all(column.metadata["meaning"] for column in fields(Row))
