"""Photos for tests of size: the sizes promised, and photos that agree with their manifest."""

from itertools import product
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from pipelines.studio.camera import CameraSettings, develop_groups, mixed
from pipelines.studio.large import (
    ASPECTS,
    MEGAPIXELS,
    ORIENTATIONS,
    Size,
    in_strips,
    make_large,
    sizes,
    window,
)
from pipelines.studio.sets import SetError
from pipelines.studio.store import write_linear
from pipelines.studio.truth import read_manifest
from tests.pipelines.studio.test_developing import _render


def test_sizes_span_8_to_48_megapixels_in_all_aspects_and_orientations() -> None:
    wanted = sizes()
    area = [s.width * s.height / 1e6 for s in wanted]
    assert len(wanted) == 40
    assert (min(area), max(area)) == pytest.approx(MEGAPIXELS, rel=1e-3)
    crops = [window((288, 384), None, s) for s in wanted]
    assert all(8e6 <= c.out_width * c.out_height <= 48e6 for c in crops)
    shapes = {
        (round(max(s.width / s.height, s.height / s.width), 2), s.orientation) for s in wanted
    }
    assert shapes == set(product((round(a, 2) for a in ASPECTS), ORIENTATIONS))
    assert any(s.height > s.width for s in wanted) and any(s.width > s.height for s in wanted)


@pytest.mark.parametrize("size", [Size(400, 300, 1), Size(300, 400, 1), Size(500, 500, 1)])
def test_a_window_keeps_the_aspect_and_lies_in_the_render(size: Size) -> None:
    crop = window((60, 80), (60, 40, 19, 19), size)
    assert crop.width / crop.height == pytest.approx(size.width / size.height, rel=0.02)
    assert 0 <= crop.left <= 80 - crop.width and 0 <= crop.top <= 60 - crop.height
    assert crop.out_width / crop.width == crop.out_height / crop.height
    assert 0 <= crop.out_width - size.width < 9 and 0 <= crop.out_height - size.height < 9


def test_strips_are_the_whole_but_for_the_noise() -> None:
    linear = _render(1, True)
    bands = [cv2.resize(b.astype(np.float32), (80, 60)) for b in linear.bands]
    ramp = np.linspace(0.2, 1.5, 60, dtype=np.float32)[:, None, None]
    soft = [ramp * cv2.GaussianBlur(b, (0, 0), 3) for b in bands]
    groups = mixed(soft, linear.lights, linear.second)
    crop = window((60, 80), None, Size(640, 480, 1))
    settings = CameraSettings(
        electrons=1e9,
        smooth=0.0,
        falloff=0.0,
        defocus=3.0,
        motion=(6.0, 40.0),
        sharpen=1.0,
        crop=crop,
    )
    whole = develop_groups(groups, settings, 1).astype(int)
    strips = in_strips(groups, settings, 1).astype(int)
    assert whole.std() > 20
    assert np.abs(strips - whole).max() <= 1


def test_photos_have_their_sizes_and_the_manifest_holds(tmp_path: Path) -> None:
    renders = tmp_path / "renders"
    renders.mkdir()
    for seed in (1, 3):
        write_linear(renders / f"{seed}.npz", _render(seed, seed != 3))
    wanted = sizes(5, (0.02, 0.04))
    make_large(renders, tmp_path / "out", wanted)
    known = read_manifest(tmp_path / "out" / "manifest.jsonl")
    assert len({p.seed for p in known}) == 2
    for photo, size in zip(known, wanted, strict=True):
        with Image.open(tmp_path / "out" / photo.file) as stored:
            assert stored.getexif()[0x0112] == size.orientation == photo.exif_orientation
            shown = ImageOps.exif_transpose(stored)
        assert shown.size == photo.size
        assert np.array(photo.size) == pytest.approx((size.width, size.height), abs=8)
        if photo.mask is not None:
            mask = np.asarray(Image.open(tmp_path / "out" / photo.mask))
            assert mask.shape[::-1] == photo.size
    # The same render twice gives two photos, not one.
    first, again = ((tmp_path / "out" / known[k].file).read_bytes() for k in (0, 2))
    assert first != again


def test_a_folder_without_renders_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SetError, match="holds 0 renders"):
        make_large(tmp_path, tmp_path / "out", sizes())
