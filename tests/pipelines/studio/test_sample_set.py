"""The shipped sample: balanced, small, complete, and picked without a look at the photos."""

from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pipelines.studio.plug import CONDITIONS
from pipelines.studio.sample_set import (
    LARGEST,
    kind_of,
    picked,
    quotas,
    told,
    traits,
    write_sample,
)
from pipelines.studio.truth import LightShare, PhotoTruth, read_manifest, write_manifest
from tests.pipelines.studio.test_truth import CHART, EMPTY, GOOD, PLUG

VIEWS = ("end_on", "oblique", "side")
LIGHTS = ("A", "D65", "FL2", "LED-B3")


def _photos(many: int, seed: int = 1) -> list[PhotoTruth]:
    """Photos whose views and lights lean with the condition, as a small set's may."""
    rng = np.random.default_rng(seed)
    out = []
    for k in range(many):
        which = k % (len(CONDITIONS) + 2)
        light = (LightShare(str(rng.choice(LIGHTS, p=[0.6, 0.2, 0.1, 0.1])), 1.0),)
        if which == len(CONDITIONS) + 1:
            out.append(replace(EMPTY, file=f"{k}.jpg", seed=k, light=light, size=(64, 48)))
            continue
        condition = CONDITIONS[which] if which < len(CONDITIONS) else None
        plug = replace(
            PLUG,
            condition=condition,
            shares={condition: 1.0} if condition else {},
            findings=() if condition else ("ash",),
            view=str(rng.choice(VIEWS, p=np.roll([0.7, 0.2, 0.1], which))),
        )
        out.append(
            replace(GOOD, file=f"{k}.jpg", seed=k, light=light, plugs=(plug,), size=(64, 48),
                    mask=f"masks/{k}.png", references=(),
                    stored_light=replace(CHART, file=f"{k}.light.jpg") if k % 2 else None)
        )  # fmt: skip
    return out


def _written(folder: Path, photos: list[PhotoTruth], heavy: frozenset[int] = frozenset()) -> Path:
    (folder / "masks").mkdir(parents=True)
    for k, photo in enumerate(photos):
        Image.new("RGB", (64, 48), (k % 256, 90, 90)).save(folder / photo.file)
        if k in heavy:
            with (folder / photo.file).open("ab") as file:
                file.write(b"\0" * LARGEST)
        if photo.stored_light:
            Image.new("RGB", (64, 48), (90, k % 256, 90)).save(folder / photo.stored_light.file)
        if photo.mask:
            Image.new("L", (64, 48)).save(folder / photo.mask)
    write_manifest(folder / "manifest.jsonl", photos)
    return folder / "manifest.jsonl"


def test_quotas_add_up() -> None:
    for count in (150, 180, 199):
        parts = quotas(count)
        assert sum(parts.values()) == count
        each = [parts[c] for c in CONDITIONS]
        assert max(each) - min(each) <= 1


def test_views_and_lights_are_level_in_each_condition() -> None:
    photos = _photos(1400)
    for condition in CONDITIONS:
        chosen = picked(photos, condition, 24)
        views = Counter(p.plug.view for p in chosen if p.plug)
        lights = Counter(p.light[0].illuminant for p in chosen)
        assert max(views.values()) - min(views.values()) <= 2
        assert max(lights.values()) - min(lights.values()) <= 2


def test_what_is_written_is_whole_and_small(tmp_path: Path) -> None:
    photos = _photos(280)
    manifest = _written(tmp_path / "set", photos, heavy=frozenset(range(0, 280, 3)))
    listed = write_sample(manifest, tmp_path / "out", 60)
    assert read_manifest(tmp_path / "out" / "manifest.jsonl") == listed
    assert Counter(kind_of(p) for p in listed) == Counter(quotas(60))
    assert len({p.seed for p in listed}) == 60
    assert all((tmp_path / "out" / p.file).stat().st_size <= LARGEST for p in listed)
    for photo in listed:
        source = photos[photo.seed]
        copied = (tmp_path / "out" / photo.file).read_bytes()
        assert copied == (tmp_path / "set" / source.file).read_bytes()
        assert traits(photo) == traits(source)
        if photo.stored_light and source.stored_light:
            chart = (tmp_path / "out" / photo.stored_light.file).read_bytes()
            assert chart == (tmp_path / "set" / source.stored_light.file).read_bytes()
    assert any(p.stored_light for p in listed)
    assert told(listed, tmp_path / "out").startswith("60 photos: ")
    with pytest.raises(ValueError, match="not empty"):
        write_sample(manifest, tmp_path / "out", 60)


def test_a_set_that_lacks_a_kind_is_refused(tmp_path: Path) -> None:
    manifest = _written(tmp_path / "set", [p for p in _photos(140) if kind_of(p) != "wet_black"])
    with pytest.raises(ValueError, match="of wet_black"):
        write_sample(manifest, tmp_path / "out", 30)


def test_a_nose_that_is_out_of_sight_counts_as_a_size_of_its_own() -> None:
    plug = replace(PLUG, nose_lab=None, shine=None)
    assert ("size", "hidden") in traits(replace(GOOD, plugs=(plug,)))
    assert ("size", "hidden") not in traits(GOOD)
