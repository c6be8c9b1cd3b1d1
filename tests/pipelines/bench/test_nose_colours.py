"""Readings are held against the true colour of the plug that they are of."""

import json
from pathlib import Path

import numpy as np

from pipelines.bench import nose_colours as bench
from pipelines.studio.truth import read_manifest
from tipvision.colour.lab import lab_to_xyz, xyz_to_lab

SAMPLE = Path(__file__).parents[3] / "synthetic_images" / "sample"


def colour(missed: float, source: str = "chart", local: bool = False) -> bench.Colour:
    return bench.Colour(source, local, missed, missed / 2, held=missed < 3, half_width=10.0)


def test_medians_are_told_by_source_and_tone_mapping(capsys) -> None:
    assert bench.report([colour(1.0), colour(2.0), colour(5.0), colour(9.0, "estimate")])
    printed = capsys.readouterr().out
    assert "chart, plain: median CIEDE2000 2.0 (limit 2.0), 95 % interval 1.0 to 5.0" in printed
    assert "at the true luminance: median CIEDE2000 1.0, 95 % interval 0.5 to 2.5" in printed
    assert "within the region: 2 of 3" in printed
    assert not bench.report([colour(2.5)])
    assert bench.report([colour(2.5, local=True)])
    assert not bench.report([colour(4.5, local=True)])


def test_a_colour_that_is_only_too_dark_has_no_cast() -> None:
    true = np.array([62.0, 5.0, 18.0])
    darker = xyz_to_lab(0.4 * lab_to_xyz(true))
    np.testing.assert_allclose(bench.at_luminance_of(true, darker), true, atol=1e-6)


def test_a_set_is_read_and_counted(tmp_path, capsys) -> None:
    lines = (SAMPLE / "manifest.jsonl").read_text("utf-8").splitlines()
    row = next(
        row
        for row in map(json.loads, lines)
        if row["stored_light"] and len(row["plugs"]) == 1 and row["plugs"][0]["nose_px"] > 90
    )
    (tmp_path / "masks").mkdir()
    for name in (row["file"], row["mask"], row["stored_light"]["file"]):
        (tmp_path / name).write_bytes((SAMPLE / name).read_bytes())
    (tmp_path / "manifest.jsonl").write_text(json.dumps(row) + "\n", "utf-8")
    truth = read_manifest(tmp_path / "manifest.jsonl")[0]
    found = list(bench.colours_of(tmp_path, truth))
    assert [one.source for one in found] == ["stored"]
    assert 0 <= found[0].missed < 60 and np.isfinite(found[0].half_width)
    bench.main(["--photos", str(tmp_path)])
    printed = capsys.readouterr().out
    assert "stored, " in printed and "grey cards found, whole: none to count" in printed
