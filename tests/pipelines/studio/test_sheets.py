"""Contact sheets refuse what they cannot show."""

from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from pipelines.studio.picture_files import PictureError
from pipelines.studio.sheets import write_sheet
from pipelines.studio.truth import write_manifest
from tests.pipelines.studio.test_truth import EMPTY


def test_a_broken_photo_is_named_and_no_sheet_written(tmp_path: Path) -> None:
    for name in ("b.jpg", "c.jpg"):
        Image.new("RGB", (40, 30), (90, 90, 90)).save(tmp_path / name)
    manifest = tmp_path / "manifest.jsonl"
    write_manifest(manifest, [EMPTY, replace(EMPTY, file="c.jpg")])
    out = tmp_path / "sheet.jpg"
    write_sheet(manifest, out, 0, 9, 20)
    out.unlink()
    broken = tmp_path / "c.jpg"
    broken.write_bytes(broken.read_bytes()[:-20])
    with pytest.raises(PictureError, match=r"c\.jpg is no whole picture\. Make the set again"):
        write_sheet(manifest, out, 0, 9, 20)
    assert not out.exists()


def test_a_sheet_too_high_for_a_jpeg_is_refused(tmp_path: Path) -> None:
    manifest = tmp_path / "manifest.jsonl"
    photos = [replace(EMPTY, file=f"{k}.jpg") for k in range(600)]
    for photo in photos:
        (tmp_path / photo.file).touch()
    write_manifest(manifest, photos)
    with pytest.raises(ValueError, match=r"sheet\.jpg: .* lower --count or --tile"):
        write_sheet(manifest, tmp_path / "sheet.jpg", 0, 600, 1024)
