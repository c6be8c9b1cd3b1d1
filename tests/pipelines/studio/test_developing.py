"""From stored renders to photos: files, masks and manifest that agree, and their contact sheet."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from pipelines.studio.camera import Crop
from pipelines.studio.camera_sample import cropped, sample_settings
from pipelines.studio.developing import (
    CLEAR,
    CLOSEST,
    LARGER,
    LEFT_TINY,
    NOSES_AT,
    closer_share,
    develop_one,
    develop_set,
    grown,
    of_other_metal,
    share_of,
    shot_of,
    write_one,
)
from pipelines.studio.framing import kept
from pipelines.studio.labels import box_of
from pipelines.studio.sets import SetError, claim, file_of
from pipelines.studio.sheets import write_sheet
from pipelines.studio.store import Linear, packed, write_linear
from pipelines.studio.truth import LightShare, ReferenceTruth, StoredLight, read_manifest
from tests.pipelines.studio.test_framing import CHART, HEIGHT, WIDTH, _mask, _truth

LONGEST = 64
STORED = StoredLight(
    "D65 and A", "A", "chart", ((8.0, 5.0), (32.0, 5.0), (32.0, 21.0), (8.0, 21.0))
)
"""A chart in a made-up companion of 40×30 pixels."""


def _render(seed: int, plugs: bool) -> Linear:
    rng = np.random.default_rng(seed)
    groups = [rng.uniform(0.2, 1.0, (HEIGHT, WIDTH, 16)).astype(np.float32) for _ in range(2)]
    known = replace(
        _truth(CHART),
        seed=seed,
        light=(LightShare("D65", 0.7), LightShare("A", 0.3)),
        stored_light=STORED if plugs else None,
    )
    mask = _mask()
    if not plugs:
        known, mask = replace(known, plugs=(), mask=None, references=()), np.zeros_like(mask)
    chart = packed([0.8 * group[:30, :40] for group in groups]) if plugs else None
    return Linear(packed(groups), mask, ("D65", "A"), 0.3, 1.0, ("A", "A2"), known, chart)


@pytest.fixture(scope="module")
def photos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    renders, out = (tmp_path_factory.mktemp(n) for n in ("renders", "photos"))
    claim(renders, "train", 4, 4)
    for seed in range(4):
        write_linear(file_of(renders, seed), _render(seed, seed != 3))
    develop_set(renders, out, 3, LONGEST)
    return out


def test_the_manifest_holds_and_agrees_with_photos_and_masks(photos: Path) -> None:
    known = read_manifest(photos / "manifest.jsonl")
    assert len(known) == 12
    for photo in known:
        with Image.open(photos / photo.file) as stored:
            shown = ImageOps.exif_transpose(stored)
        assert shown.size == photo.size and max(photo.size) <= LONGEST * 1.6
        if photo.mask is None:
            assert photo.plugs == ()
            continue
        mask = np.asarray(Image.open(photos / photo.mask))
        assert mask.shape[::-1] == photo.size
        for k, plug in enumerate(photo.plugs):
            assert plug.box == box_of(mask, k) and plug.box is not None
            # The made-up nose is ten of the render's pixels wide, its truth says 24 a millimetre.
            assert plug.nose_px / plug.px_per_mm == pytest.approx(120 / 24, rel=0.01)


def test_what_the_camera_was_is_told(photos: Path) -> None:
    known = read_manifest(photos / "manifest.jsonl")
    for photo in known:
        assert photo.camera in ("A", "A2")
        if photo.file.startswith("0000003"):
            assert photo.stored_light is None
        else:
            stored = photo.stored_light
            assert stored is not None
            assert (stored.lamp, stored.camera) == ("D65 and A", photo.camera)
            assert stored.file == photo.file.replace(".jpg", ".light.jpg")
            assert stored.corners[2] == (64.0, 42.0)


def test_the_chart_stays_in_the_picture(photos: Path) -> None:
    known = read_manifest(photos / "manifest.jsonl")
    with_plug = [p for p in known if not p.file.startswith("0000003")]
    assert all(p.corners_of("chart") is not None for p in with_plug)


def _small(nose: float, references: tuple[ReferenceTruth, ...] = ()) -> Linear:
    """A render of 384×288 whose one nose is so many pixels across, its firing end half more."""
    mask = np.zeros((288, 384), np.uint8)
    half = round(0.75 * nose)
    mask[100 - half : 100 + half, 150 - half : 150 + half] = 4
    mask[100 - half + 2 : 100 + half - 2, 150 - half + 2 : 150 + half - 2] = 1
    known = replace(_truth(*references), size=(384, 288), stored_light=None)
    known = replace(known, plugs=(replace(known.plugs[0], nose_px=nose),))
    bands = np.full((1, 288, 384, 16), 0.3, np.float16)
    return Linear(bands, mask, ("D65",), 0.0, 0.0, ("A",), known)


def test_most_small_noses_are_clear_and_a_few_stay_tiny(tmp_path: Path) -> None:
    (tmp_path / "masks").mkdir()
    card = ReferenceTruth(
        "bench_card", ((20.0, 20.0), (330.0, 20.0), (330.0, 250.0), (20.0, 250.0)), ("whole",)
    )
    for references in ((), (card,)):
        tiny = 0
        for k in range(60):
            linear = _small(8.5, references)
            photo = develop_one(linear, tmp_path, "x", k, 384)
            assert photo.plug is not None
            assert max(photo.size) <= 384 * LARGER + 1
            tiny += photo.plug.nose_px < 12
        assert 0 < tiny / 60 < 3 * LEFT_TINY


def test_large_noses_come_as_they_were_or_closer() -> None:
    linear = _small(40.0)
    zooms = []
    for seed in range(200):
        box = kept(linear, seed)
        assert box is not None
        zooms.append(share_of(linear, box, seed, 384) / (max(box[2:]) / 288))
    assert 1.0 <= min(zooms) < 1.1 and 1.7 < max(zooms) <= CLOSEST
    assert np.median(np.log(zooms)) == pytest.approx(np.log(CLOSEST) / 2, abs=0.08)


def test_noses_come_as_wide_as_their_look_says() -> None:
    linear, noses = _small(20.0), ((0.5, 40.0, 60.0), (0.5, 90.0, 110.0))
    widths = []
    for seed in range(200):
        box = kept(linear, seed)
        assert box is not None
        share = closer_share(linear, box, seed, 384, noses)
        zoom = share / (max(box[2:]) / 288)
        widths.append(20.0 * zoom * NOSES_AT / 384)
        assert share == 0.8 or 40.0 <= widths[-1] <= 60.0 or 90.0 <= widths[-1] <= 110.0
        assert closer_share(linear, box, seed, 384, ()) == share_of(linear, box, seed, 384)
    assert 0.3 < np.mean(np.array(widths) < 75.0) < 0.7


def test_photos_of_the_web_are_worked_over_but_not_references(tmp_path: Path) -> None:
    (tmp_path / "masks").mkdir()
    card = ReferenceTruth(
        "bench_card", ((20.0, 20.0), (330.0, 20.0), (330.0, 250.0), (20.0, 250.0)), ("whole",)
    )
    for references, same in (((), False), ((card,), True)):
        linear = _small(60.0, references)
        settings = sample_settings(7, linear.cameras, linear.dim)
        settings = cropped(settings, 7, (384, 288), kept(linear, 7), 384, None)
        for name, web in (("plain", 0.0), ("web", 1.0)):
            write_one(linear, settings, shot_of(7), 7, tmp_path, name, web=web)
        plain, web_like = (np.asarray(Image.open(tmp_path / f"{n}.jpg")) for n in ("plain", "web"))
        assert (plain == web_like).all() == same


def test_a_photo_grows_only_so_far_as_a_nose_needs() -> None:
    crop = Crop(0, 0, 384, 288, 384, 288)
    assert grown(crop, 20.0) == grown(crop, 0.0) == crop
    assert grown(crop, 10.0).out_width == pytest.approx(384 * CLEAR[0] / 10, abs=1)
    assert grown(crop, 2.0).out_width == pytest.approx(384 * LARGER, abs=1)
    near = Crop(0, 0, 192, 144, 384, 288)
    assert grown(near, 1.0).out_width == 480


def test_photos_are_made_the_same_again(photos: Path, tmp_path: Path) -> None:
    claim(tmp_path / "r", "train", 4, 4)
    for seed in (1, 2):
        write_linear(file_of(tmp_path / "r", seed), _render(seed, True))
    made = develop_set(tmp_path / "r", tmp_path / "p", 2, LONGEST, workers=2)
    assert [photo.file for photo in made] == [f"000000{k}-{n}.jpg" for k in (1, 2) for n in (0, 1)]
    for name in ("0000001-0.jpg", "0000001-1.jpg", "masks/0000001-1.png"):
        assert (tmp_path / "p" / name).read_bytes() == (photos / name).read_bytes()


def test_a_folder_without_renders_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SetError, match="holds no renders"):
        develop_set(tmp_path, tmp_path / "out", 1, LONGEST)


def test_a_contact_sheet_shows_each_photo(photos: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheet.jpg"
    write_sheet(photos / "manifest.jsonl", out, 2, 9, 40)
    sheet = np.asarray(Image.open(out), dtype=float)
    assert sheet.shape == (80, 320, 3)
    tiles = sheet.reshape(2, 40, 8, 40, 3).transpose(0, 2, 1, 3, 4).reshape(16, -1)
    spread = tiles.std(axis=1)
    assert np.all(spread[:9] > 5) and np.all(spread[9:] < 5)
    with pytest.raises(ValueError, match="lower --first"):
        write_sheet(photos / "manifest.jsonl", out, 12, 9, 40)


def test_metal_is_changed_where_a_nose_shows_and_the_rest_stays() -> None:
    linear = _small(40)
    changed = of_other_metal(linear, 5)
    metal = linear.mask % 8 == 4
    assert (changed.bands[:, ~metal] == linear.bands[:, ~metal]).all()
    assert (changed.bands[:, metal] != linear.bands[:, metal]).mean() > 0.9
    assert changed.bands.dtype == np.float16 and changed.truth == linear.truth
    nothing = replace(linear, mask=np.zeros_like(linear.mask))
    assert of_other_metal(nothing, 5) is nothing
