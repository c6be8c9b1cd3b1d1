"""The manifest: what is written is read back, and nonsense is refused with its place."""

import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest

from pipelines.studio.truth import ManifestError, PhotoTruth, read_manifest, write_manifest

GOOD = PhotoTruth(
    file="a.jpg",
    seed=3,
    size=(1600, 1200),
    exif_orientation=6,
    camera="A",
    light="D65",
    white_balance="right",
    plug=True,
    condition="normal",
    shares={"normal": 0.7, "dry_black": 0.3},
    findings=(),
    view="end_on",
    view_degrees=8.0,
    nose_lab=(66.0, 4.7, 20.1),
    shine=0.0,
    nose_px=120.0,
    px_per_mm=24.0,
    gap_mm=0.7,
    reference="bench_card",
    card_corners=((1.0, 2.0), (3.0, 2.0), (3.0, 4.0), (1.0, 4.0)),
    mask="masks/a.png",
)


def test_round_trip(tmp_path: Path) -> None:
    path = tmp_path / "manifest.jsonl"
    other = dataclasses.replace(GOOD, file="b.jpg", reference=None, card_corners=None)
    write_manifest(path, [GOOD, other])
    assert read_manifest(path, check_files=False) == [GOOD, other]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("condition", "burnt"),
        ("condition", None),
        ("shares", {"normal": 0.7}),
        ("shares", {"normal": 1.5, "unused": -0.5}),
        ("nose_lab", [166.0, 0.0, 0.0]),
        ("nose_lab", None),
        ("size", [0, 10]),
        ("exif_orientation", 2),
        ("view", "from above"),
        ("white_balance", "auto"),
        ("nose_px", 0),
        ("gap_mm", float("nan")),
        ("shine", True),
        ("card_corners", [[0, 0]]),
        ("plug", False),
        ("seed", -1),
    ],
)
def test_nonsense_is_refused_with_line_and_field(tmp_path: Path, field: str, value: Any) -> None:
    path = tmp_path / "manifest.jsonl"
    write_manifest(path, [dataclasses.replace(GOOD, file="b.jpg")])
    line = {**dataclasses.asdict(GOOD), field: value}
    path.write_text(path.read_text() + json.dumps(line) + "\n")
    with pytest.raises(ManifestError, match="line 2"):
        read_manifest(path, check_files=False)


def test_missing_and_unknown_fields_doubles_and_missing_files(tmp_path: Path) -> None:
    path = tmp_path / "manifest.jsonl"
    raw = dataclasses.asdict(GOOD)
    path.write_text(json.dumps({k: v for k, v in raw.items() if k != "light"}) + "\n")
    with pytest.raises(ManifestError, match="light"):
        read_manifest(path, check_files=False)
    path.write_text(json.dumps({**raw, "brand": "x"}) + "\n")
    with pytest.raises(ManifestError, match="brand"):
        read_manifest(path, check_files=False)
    write_manifest(path, [GOOD, GOOD])
    with pytest.raises(ManifestError, match="twice"):
        read_manifest(path, check_files=False)
    write_manifest(path, [GOOD])
    with pytest.raises(ManifestError, match=r"a\.jpg is not beside"):
        read_manifest(path)
    path.write_text("{torn\n")
    with pytest.raises(ManifestError, match="not JSON"):
        read_manifest(path)
