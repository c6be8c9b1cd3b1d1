"""The manifest: what is written is read back, and nonsense is refused with its place."""

import dataclasses
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pipelines.studio.truth import (
    LightShare,
    ManifestError,
    PhotoTruth,
    PlugTruth,
    ReferenceTruth,
    StoredLight,
    Taken,
    checked_lines,
    read_manifest,
    write_manifest,
)

PLUG = PlugTruth(
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
    family="m14-gasket-projected-nickel-j",
    palette="bench",
    box=(5, 7, 40, 30),
)
CORNERS = ((1.0, 2.0), (3.0, 2.0), (3.0, 4.0), (-1.0, 4.0))
CHART = StoredLight(
    "D65 and A", "A", "a.light.jpg", ((90.0, 40.0), (300.0, 50.0), (290.0, 200.0), (80.0, 190.0))
)
GOOD = PhotoTruth(
    file="a.jpg",
    seed=3,
    size=(1600, 1200),
    exif_orientation=6,
    camera="A",
    light=(LightShare("D65", 0.75), LightShare("A", 0.25)),
    white_balance="right",
    taken=Taken(0.3, 1.2, 0.0, 88),
    stored_light=CHART,
    plugs=(PLUG, dataclasses.replace(PLUG, nose_lab=None, shine=None, palette=None, box=None)),
    references=(ReferenceTruth("bench_card", CORNERS, ("cut_off", "shaded")),),
    mask="masks/a.png",
)
EMPTY = dataclasses.replace(
    GOOD,
    file="b.jpg",
    light=(LightShare("A", 1.0),),
    stored_light=None,
    plugs=(),
    references=(),
    mask=None,
)


def test_round_trip(tmp_path: Path) -> None:
    path = tmp_path / "manifest.jsonl"
    write_manifest(path, [GOOD, EMPTY])
    assert read_manifest(path, check_files=False) == [GOOD, EMPTY]
    assert GOOD.plug is PLUG and EMPTY.plug is None
    assert GOOD.corners_of("bench_card") == CORNERS and GOOD.corners_of("chart") is None


def _refused(folder: Path, raw: dict[str, Any]) -> str:
    """The message about a manifest whose second line is this."""
    path = folder / "manifest.jsonl"
    write_manifest(path, [EMPTY])
    path.write_text(path.read_text() + json.dumps(raw) + "\n")
    with pytest.raises(ManifestError, match=r"^manifest\.jsonl, line 2( \(.+\))?: ") as error:
        read_manifest(path, check_files=False)
    assert str(error.value).endswith(". Make the set again.")
    return str(error.value)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("file", ""),
        ("size", [0, 10]),
        ("exif_orientation", 2),
        ("white_balance", "auto"),
        ("taken", {"ev": 0.3, "blur_px": -1, "local_tone": 0.0, "jpeg": 88}),
        ("seed", -1),
        ("light", []),
        ("light", "D65"),
        ("light", [{"illuminant": "D65", "share": 0.5}]),
        ("stored_light", 3),
        ("stored_light", "D65 and A, camera A"),
        ("plugs", None),
        ("references", {}),
        ("mask", None),
    ],
)
def test_nonsense_is_refused_with_line_and_field(tmp_path: Path, field: str, value: Any) -> None:
    assert field in _refused(tmp_path, {**dataclasses.asdict(GOOD), field: value})


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("condition", "burnt"),
        ("condition", None),
        ("condition", "dry_black"),
        ("condition", "unused"),
        ("shares", {"normal": 0.7}),
        ("shares", {"normal": 1.5, "unused": -0.5}),
        ("nose_lab", [166.0, 0.0, 0.0]),
        ("nose_lab", None),
        ("shine", True),
        ("view", "from above"),
        ("view_degrees", 200),
        ("nose_px", 0),
        ("gap_mm", float("nan")),
        ("gap_mm", -0.1),
        ("family", None),
        ("box", [0, 0, 1601, 10]),
        ("box", [0, 0, 0, 10]),
        ("findings", "ash"),
    ],
)
def test_nonsense_of_a_plug_is_refused_with_its_number(
    tmp_path: Path, field: str, value: Any
) -> None:
    raw = dataclasses.asdict(GOOD)
    raw["plugs"] = [raw["plugs"][1], {**raw["plugs"][0], field: value}]
    said = _refused(tmp_path, raw)
    wanted = "shine" if field == "nose_lab" and value is None else field
    assert f"plugs[1].{wanted}" in said


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("kind", "ruler"),
        ("corners", [[0, 0]]),
        ("corners", [[0, 0], [1, 0], [1, 1], [0, None]]),
        ("state", []),
        ("state", ["whole", "cut_off"]),
        ("state", ["whole", "wet"]),
    ],
)
def test_nonsense_of_a_reference_is_refused(tmp_path: Path, field: str, value: Any) -> None:
    raw = dataclasses.asdict(GOOD)
    raw["references"] = [{**raw["references"][0], field: value}]
    assert f"references[0].{field}" in _refused(tmp_path, raw)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("lamp", ""),
        ("camera", "A2"),
        ("file", None),
        ("corners", [[1, 1], [2, 1], [2, 2]]),
        ("corners", [[-1, 1], [20, 1], [20, 20], [1, 20]]),
        ("corners", [[20, 1], [1, 1], [1, 20], [20, 20]]),
    ],
)
def test_nonsense_of_a_stored_light_is_refused(tmp_path: Path, field: str, value: Any) -> None:
    raw = dataclasses.asdict(GOOD)
    raw["stored_light"] = {**raw["stored_light"], field: value}
    assert f"stored_light.{field}" in _refused(tmp_path, raw)


def test_a_stored_light_without_its_file_or_fields_is_refused(tmp_path: Path) -> None:
    raw = dataclasses.asdict(GOOD)
    stored = {k: v for k, v in raw["stored_light"].items() if k != "corners"}
    assert "stored_light lacks fields: corners" in _refused(
        tmp_path, {**raw, "stored_light": stored}
    )
    path = tmp_path / "manifest.jsonl"
    write_manifest(path, [GOOD])
    (tmp_path / "masks").mkdir()
    for name in (GOOD.file, str(GOOD.mask)):
        (tmp_path / name).touch()
    with pytest.raises(
        ManifestError,
        match=r"line 1 \(a\.jpg\): a\.light\.jpg \(the chart photo .* not beside the manifest",
    ):
        read_manifest(path)
    (tmp_path / CHART.file).touch()
    assert read_manifest(path) == [GOOD]


def test_missing_and_unknown_fields_and_too_many_plugs(tmp_path: Path) -> None:
    raw = dataclasses.asdict(GOOD)
    assert "light" in _refused(tmp_path, {k: v for k, v in raw.items() if k != "light"})
    assert "brand" in _refused(tmp_path, {**raw, "brand": "x"})
    assert "at most 4" in _refused(tmp_path, {**raw, "plugs": [raw["plugs"][0]] * 5})
    raw["plugs"] = [{k: v for k, v in raw["plugs"][0].items() if k != "gap_mm"}]
    assert "plugs[0] lacks fields: gap_mm" in _refused(tmp_path, raw)


def test_doubles_missing_files_and_torn_lines(tmp_path: Path) -> None:
    path = tmp_path / "manifest.jsonl"
    write_manifest(path, [GOOD, GOOD])
    with pytest.raises(ManifestError, match="twice"):
        read_manifest(path, check_files=False)
    write_manifest(path, [GOOD])
    with pytest.raises(ManifestError, match=r"a\.jpg is not beside"):
        read_manifest(path)
    path.write_text("{torn\n")
    with pytest.raises(ManifestError, match=r"line 1: not JSON .* Make the set again"):
        read_manifest(path)


@pytest.mark.parametrize(
    ("held", "said"), [(b"\xff\xd8\xff\xe0\0", "no text"), (b"", "lists no photo")]
)
def test_a_file_that_is_no_manifest_is_refused_by_name(
    tmp_path: Path, held: bytes, said: str
) -> None:
    path = tmp_path / "manifest.jsonl"
    path.write_bytes(held)
    with pytest.raises(ManifestError, match=rf"manifest\.jsonl .*{said}.*\. [MN]"):
        read_manifest(path)


def test_a_line_is_told_by_its_photo_and_the_next_are_still_read(tmp_path: Path) -> None:
    path = tmp_path / "manifest.jsonl"
    write_manifest(path, [replace(GOOD, seed=-1), EMPTY])
    first, second = checked_lines(path, check_files=False)
    assert str(first).startswith("manifest.jsonl, line 1 (a.jpg): seed is -1")
    assert second == EMPTY
