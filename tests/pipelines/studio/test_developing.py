"""From stored renders to photos: files, masks and manifest that agree, and their contact sheet."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from pipelines.studio.developing import develop_set
from pipelines.studio.labels import box_of
from pipelines.studio.sets import SetError, claim, file_of
from pipelines.studio.sheets import write_sheet
from pipelines.studio.store import Linear, packed, write_linear
from pipelines.studio.truth import LightShare, read_manifest
from tests.pipelines.studio.test_framing import CHART, HEIGHT, WIDTH, _mask, _truth

LONGEST = 64


def _render(seed: int, plugs: bool) -> Linear:
    rng = np.random.default_rng(seed)
    groups = [rng.uniform(0.2, 1.0, (HEIGHT, WIDTH, 16)).astype(np.float32) for _ in range(2)]
    known = replace(
        _truth(CHART),
        seed=seed,
        light=(LightShare("D65", 0.7), LightShare("A", 0.3)),
        stored_light="D65 and A" if plugs else None,
    )
    mask = _mask()
    if not plugs:
        known, mask = replace(known, plugs=(), mask=None, references=()), np.zeros_like(mask)
    return Linear(packed(groups), mask, ("D65", "A"), 0.3, 1.0, ("A", "A2"), known)


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
            assert photo.stored_light == f"D65 and A, camera {photo.camera}"


def test_the_chart_stays_in_the_picture(photos: Path) -> None:
    known = read_manifest(photos / "manifest.jsonl")
    with_plug = [p for p in known if not p.file.startswith("0000003")]
    assert all(p.corners_of("chart") is not None for p in with_plug)


def test_photos_are_made_the_same_again(photos: Path, tmp_path: Path) -> None:
    claim(tmp_path / "r", "train", 4, 4)
    write_linear(file_of(tmp_path / "r", 1), _render(1, True))
    develop_set(tmp_path / "r", tmp_path / "p", 2, LONGEST)
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
