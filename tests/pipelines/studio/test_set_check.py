"""A set that holds passes; whatever is planted in its files or its manifest is found and named."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pipelines.studio.labels import box_of
from pipelines.studio.set_check import SHOWN, Checked, check_set
from pipelines.studio.truth import ManifestError, PhotoTruth, write_manifest
from tests.pipelines.studio.test_truth import CHART, EMPTY, GOOD, PLUG

SHIPPED = Path(__file__).parents[3] / "synthetic_images"
SIZE = (96, 64)

MASK = np.zeros((64, 96), np.uint8)
MASK[20:40, 20:40] = 1
MASK[25:30, 22:30] = 2
MASK[20:40, 40:44] = 6
MASK[10:20, 60:70] = 8 + 5
MASK[50:60, 80:90] = 16 + 6
"""A plug with a nose, one without, and what is left of a third that is not listed."""

WIDE = ((1.0, 1.0), (321.0, 1.0), (321.0, 200.0), (1.0, 200.0))
"""Corners of a chart that a photo 320 pixels wide does not hold."""

Plant = Callable[[Path, PhotoTruth], PhotoTruth]


def _set(folder: Path, plant: Plant = lambda _, photo: photo, many: int = 1) -> Checked:
    """Check a set of one photo without a plug and `many` with two, each with that fault."""
    (folder / "masks").mkdir()
    Image.new("RGB", SIZE, (80, 90, 99)).save(folder / EMPTY.file)
    photos = [replace(EMPTY, size=SIZE, exif_orientation=1)]
    bare = replace(PLUG, nose_lab=None, shine=None)
    for k in range(many):
        photo = replace(
            GOOD,
            file=f"{k}.jpg",
            size=SIZE,
            exif_orientation=6,
            mask=f"masks/{k}.png",
            stored_light=replace(CHART, file=f"{k}.light.jpg"),
            plugs=(replace(PLUG, box=box_of(MASK, 0)), replace(bare, box=box_of(MASK, 1))),
        )
        turned = Image.Exif()
        turned[0x0112] = 6
        Image.new("RGB", SIZE[::-1], (99, 90, 80)).save(folder / photo.file, exif=turned)
        Image.fromarray(MASK).save(folder / f"masks/{k}.png")
        Image.new("RGB", (320, 240), (70, 70, 70)).save(folder / f"{k}.light.jpg")
        photos.append(plant(folder, photo))
    write_manifest(folder / "manifest.jsonl", photos)
    return check_set(folder / "manifest.jsonl")


def test_a_set_that_holds_passes(tmp_path: Path) -> None:
    checked = _set(tmp_path, many=3)
    assert checked == Checked(photos=4, with_plug=3, faults=())
    assert checked.told() == "4 photos, 3 with a plug: the manifest holds"


def test_the_shipped_demo_passes() -> None:
    assert check_set(SHIPPED / "demo" / "manifest.jsonl") == Checked(6, 5, ())


def _file(name: str, make: Callable[[Path], object]) -> Plant:
    def plant(folder: Path, photo: PhotoTruth) -> PhotoTruth:
        make(folder / name)
        return photo

    return plant


def _known(**changed: object) -> Plant:
    return lambda _, photo: replace(photo, **changed)  # type: ignore[arg-type]


def _first_plug(**changed: object) -> Plant:
    def plant(_: Path, photo: PhotoTruth) -> PhotoTruth:
        first, second = photo.plugs
        return replace(photo, plugs=(replace(first, **changed), second))  # type: ignore[arg-type]

    return plant


def _halved(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])


def _mask(change: Callable[[np.ndarray], np.ndarray | None]) -> Plant:
    def make(path: Path) -> None:
        mask = MASK.copy()
        changed = change(mask)
        Image.fromarray(mask if changed is None else changed).save(path)

    return _file("masks/0.png", make)


def _without_nose(mask: np.ndarray) -> np.ndarray:
    # What is deep in the bore does not count as nose that shows.
    return np.where((mask == 1) | (mask == 2), np.uint8(3), mask)


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_file("0.jpg", Path.unlink), r"0\.jpg is missing"),
        (_file("0.jpg", _halved), r"0\.jpg is no whole picture"),
        (_file("masks/0.png", Path.unlink), r"its mask .*0\.png is missing"),
        (_file("masks/0.png", _halved), r"its mask .*0\.png is no whole picture"),
        (_file("0.light.jpg", Path.unlink), r"chart photo .*light\.jpg is missing"),
        (_file("0.light.jpg", _halved), r"chart photo .*light\.jpg is no whole picture"),
        (_file("0.jpg", Image.new("RGB", SIZE).save), "EXIF orientation is 1, .* says 6"),
        (_mask(lambda m: m[:, :-1]), "its mask masks/0.png has 95 × 64 pixels, not 96 × 64"),
        (_mask(lambda m: np.stack([m] * 3, 2)), "mask masks/0.png is no 8-bit grey picture"),
        (_mask(lambda m: m.__setitem__((0, 0), 16)), "masks/0.png holds 16, which is not part"),
        (_mask(lambda m: m.__setitem__((0, 0), 33)), "masks/0.png holds 33, which is not part"),
        (_mask(_without_nose), r"plugs\[0\]\.nose_lab is given, but the mask shows no nose"),
        (_first_plug(nose_lab=None, shine=None), r"plugs\[0\]\.nose_lab is null, but the mask"),
        (_first_plug(box=(0, 0, 4, 4)), r"plugs\[0\]\.box is \(0, 0, 4, 4\), but \(20, 20, 24, 20"),
        (
            _known(stored_light=replace(CHART, file="0.light.jpg", corners=WIDE)),
            r"stored_light\.corners lie beyond 0\.light\.jpg, 320 × 240 pixels",
        ),
        (_first_plug(condition="dry_black"), r"plugs\[0\]\.condition is .*greatest share"),
        (_known(seed=-1), r"seed is -1"),
    ],
)  # fmt: skip
def test_a_planted_fault_is_found_alone(tmp_path: Path, plant: Plant, said: str) -> None:
    checked = _set(tmp_path, plant)
    assert len(checked.faults) == 1, checked.faults
    assert "0.jpg" in checked.faults[0] and "\n" not in checked.faults[0]
    assert checked.faults[0].endswith(". Make the set again.")
    assert re.search(said, checked.faults[0])
    assert checked.told().endswith("\n1 fault in 2 photos: the manifest does not hold")


def test_a_photo_of_another_size_than_said_is_found_with_its_mask(tmp_path: Path) -> None:
    first, second = _set(tmp_path, _known(size=(128, 96))).faults
    assert "it shows 96 × 64 pixels, the manifest says 128 × 96 pixels" in first
    assert "its mask masks/0.png has 96 × 64 pixels, not 128 × 96 pixels" in second


def test_all_faults_are_counted_and_ten_shown(tmp_path: Path) -> None:
    checked = _set(tmp_path, lambda _, photo: replace(photo, exif_orientation=1), many=13)
    assert len(checked.faults) >= 13 > SHOWN
    *shown, last = checked.told().splitlines()
    assert shown == list(checked.faults[:10])
    assert last == (
        f"{len(checked.faults)} faults in 14 photos, the first 10 of them above: "
        "the manifest does not hold"
    )


def test_an_empty_manifest_is_refused(tmp_path: Path) -> None:
    (tmp_path / "manifest.jsonl").touch()
    with pytest.raises(ManifestError, match="lists no photo"):
        check_set(tmp_path / "manifest.jsonl")
