"""The labelled sample that ships: small, whole, balanced; its background tells nothing."""

from collections import Counter
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from pipelines.studio.leaks import report
from pipelines.studio.looks.look import look
from pipelines.studio.plug import CONDITIONS
from pipelines.studio.sample_set import LARGEST, kind_of, traits
from pipelines.studio.truth import PLUG_STEP, PhotoTruth, read_manifest

FOLDER = Path(__file__).parents[1] / "synthetic_images" / "sample"
PHOTOS = read_manifest(FOLDER / "manifest.jsonl")


def test_it_is_small() -> None:
    assert 150 <= len(PHOTOS) <= 200
    files = [f for f in FOLDER.rglob("*") if f.is_file()]
    assert sum(f.stat().st_size for f in files) <= 13e6
    assert max(f.stat().st_size for f in FOLDER.glob("*.jpg")) <= LARGEST


def test_nothing_lies_there_that_the_manifest_does_not_list() -> None:
    listed = {"manifest.jsonl"} | {p.file for p in PHOTOS} | {p.mask for p in PHOTOS if p.mask}
    listed |= {p.stored_light.file for p in PHOTOS if p.stored_light}
    assert {str(f.relative_to(FOLDER)) for f in FOLDER.rglob("*") if f.is_file()} == listed


def test_conditions_views_and_lights_are_balanced() -> None:
    kinds = Counter(kind_of(p) for p in PHOTOS)
    each = [kinds[c] for c in CONDITIONS]
    assert max(each) - min(each) <= 1
    assert kinds["no plug"] >= 20
    for trait, least in (("view", 0.9), ("light", 0.9), ("mixed", 0.75)):
        counts = Counter(v for p in PHOTOS if p.plug for t, v in traits(p) if t == trait)
        assert min(counts.values()) >= least * max(counts.values()), counts


def test_it_holds_nothing_of_the_look_report() -> None:
    held_out = look("report")
    for photo in PHOTOS:
        assert not held_out.seeds[0] <= photo.seed <= held_out.seeds[1]
        assert photo.camera not in held_out.cameras
        assert not {part.illuminant for part in photo.light} & set(held_out.illuminants)
        assert not {plug.family for plug in photo.plugs} & set(held_out.families)


def test_the_background_does_not_tell_the_condition() -> None:
    # The limit is 26 %; chance is 20 %.
    line = report(FOLDER / "manifest.jsonl")
    assert float(line.partition(":")[2].partition("%")[0]) <= 26


@pytest.mark.parametrize("photo", [p for p in PHOTOS if p.plug], ids=lambda p: p.file)
def test_the_mask_is_the_photos(photo: PhotoTruth) -> None:
    assert photo.mask is not None
    with Image.open(FOLDER / photo.file) as stored:
        size = ImageOps.exif_transpose(stored).size
    mask = cv2.imread(str(FOLDER / photo.mask), cv2.IMREAD_UNCHANGED)
    assert size == photo.size == mask.shape[::-1]
    for number, plug in enumerate(photo.plugs):
        parts = np.where(mask // PLUG_STEP == number, mask % PLUG_STEP, 0)
        seen = (parts > 0) & (parts < 7)
        if plug.box is None:
            assert not seen.any()
            continue
        left, top, width, height = plug.box
        rows, columns = np.nonzero(seen)
        assert (columns.min(), rows.min()) == (left, top)
        assert (columns.max() - left + 1, rows.max() - top + 1) == (width, height)
