"""Pictures without a plug are picked out, counted, and answered ones are not overlooked."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pipelines.bench import no_plug as bench
from pipelines.condition.rows import NO_PLUG
from pipelines.studio.looks.deck import slot
from pipelines.tip_net.listing import listed
from tests.pipelines.condition.made import made_table
from tests.teaching.made import knowing_model

SAMPLE = Path(__file__).parents[3] / "synthetic_images" / "sample"


def test_only_photos_without_any_part_of_a_plug_are_picked():
    entries = listed([SAMPLE])
    picked = set(bench.without_plug(entries))
    assert picked
    for entry in entries:
        if entry.photo in picked:
            assert entry.truth.plugs == () and entry.mask is None
    charts = list(bench.chart_photos(entries))
    assert charts and all(path.name.endswith(".light.jpg") for path in charts)


def test_a_photo_that_is_answered_counts_as_seen_and_as_answered():
    plug, none = SAMPLE.parent / "demo" / "tb-07-a.jpg", next(bench.without_plug(listed([SAMPLE])))
    assert bench.count_files([plug, none]) == bench.Count(2, 1, 1)


def test_rows_count_by_photo_against_all_that_were_developed():
    numbers = range(40)
    empty = [k for k in numbers if not slot("train", k).plug]
    full = next(k for k in numbers if slot("train", k).plug)
    table = made_table(4, photos=1, noise=0.1)
    names = [f"{empty[0]:07d}-0.jpg", f"{empty[0]:07d}-0.jpg", f"{empty[1]:07d}-1.jpg"]
    table = replace(
        table,
        photo=np.array([*names, f"{full:07d}-0.jpg"]),
        label=np.full(4, NO_PLUG),
        gated=np.array(["", "", "blurred", ""]),
    )
    model = knowing_model()
    counted = bench.count_rows(table, model, "train", numbers, 2)
    assert (counted.photos, counted.seen) == (2 * len(empty), 2)
    assert counted.answered <= 1  # the blurred one never is
    sure = replace(model, least=dict.fromkeys(model.least, 0.5))
    assert bench.count_rows(table, sure, "train", numbers, 2).answered == 1
    with pytest.raises(ValueError, match="other numbers"):
        bench.count_rows(table, model, "train", range(1), 2)


def test_what_lies_elsewhere_is_taken_by_its_part(tmp_path, capsys):
    rows = [
        {"file": "a.jpg", "plug": False, "part": "look"},
        {"file": "b.jpg", "plug": False, "part": "count"},
        {"file": "c.jpg", "plug": True, "condition": "normal", "part": "look"},
    ]
    (tmp_path / "index.jsonl").write_text("\n".join(map(json.dumps, rows)), "utf-8")
    assert list(bench.outside_files(tmp_path, "look")) == [tmp_path / "a.jpg"]
    assert len(list(bench.outside_files(tmp_path, None))) == 2
    assert bench.main(["--outside", str(tmp_path)]) == 1
    assert "a.jpg cannot be read" in capsys.readouterr().err


def test_a_rate_above_one_in_a_hundred_fails_the_run(monkeypatch, capsys):
    monkeypatch.setattr(bench, "count_files", lambda _: bench.Count(200, 9, 3))
    assert bench.main(["--photos", str(SAMPLE)]) == 1
    assert "all pictures without a plug, answered: 6 of 400 = 1.5%" in capsys.readouterr().out
    monkeypatch.setattr(bench, "count_files", lambda _: bench.Count(200, 9, 2))
    assert bench.main(["--photos", str(SAMPLE)]) == 0
