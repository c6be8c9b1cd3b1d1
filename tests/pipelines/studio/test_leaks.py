"""The leak check finds a planted leak and finds none where there is none."""

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pipelines.studio.leaks import report
from pipelines.studio.plug import CONDITIONS
from pipelines.studio.truth import read_manifest, write_manifest
from tests.pipelines.studio.test_truth import GOOD, PLUG


def _set(folder: Path, leak: float, each: int = 30) -> Path:
    """Photos of noise whose plug is coloured by its condition, and the rest by `leak` of it."""
    rng = np.random.default_rng(3)
    (folder / "masks").mkdir()
    photos = []
    for k in range(each * len(CONDITIONS)):
        which = k % len(CONDITIONS)
        picture = rng.normal(120, 25, (64, 64, 3)) + rng.normal(0, 15)
        picture[..., 0] += leak * 20 * which
        mask = np.zeros((64, 64), np.uint8)
        mask[20:44, 20:44] = 1
        picture[mask > 0] = 40 * which
        name = f"{k}.png"
        Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8)).save(folder / name)
        Image.fromarray(mask).save(folder / "masks" / name)
        condition = CONDITIONS[which]
        photos.append(
            replace(
                GOOD,
                stored_light=None,
                file=name,
                seed=k,
                size=(64, 64),
                plugs=(replace(PLUG, condition=condition, shares={condition: 1.0}),),
                mask=f"masks/{name}",
            )
        )
    write_manifest(folder / "manifest.jsonl", photos)
    return folder / "manifest.jsonl"


def _accuracy(line: str) -> float:
    return float(line.partition(":")[2].partition("%")[0])


def test_a_planted_leak_shows(tmp_path: Path) -> None:
    assert _accuracy(report(_set(tmp_path, 1.0))) > 50


def test_a_plug_alone_tells_nothing(tmp_path: Path) -> None:
    # 150 photos: chance is 20 %, its standard error 3.3 %.
    assert _accuracy(report(_set(tmp_path, 0.0))) < 32


def test_a_small_set_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="under 10 photos"):
        report(_set(tmp_path, 0.0, each=5))


def test_photos_of_one_render_do_not_pass_for_two(tmp_path: Path) -> None:
    # Each background four times under one seed: known by heart it would tell the condition.
    manifest = _set(tmp_path, 0.0)
    photos = read_manifest(manifest)
    again = []
    for copy in range(4):
        for photo in photos:
            name = f"{copy}-{photo.file}"
            shutil.copyfile(tmp_path / photo.file, tmp_path / name)
            again.append(replace(photo, file=name))
    write_manifest(manifest, again)
    assert _accuracy(report(manifest)) < 32
