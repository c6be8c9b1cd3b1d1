"""A photo and the chart of its stored light agree by their EXIF, once the tone curve is undone."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from pipelines.studio.camera import CURVES, CameraSettings, Crop, tone
from pipelines.studio.camera_colour import LUMINANCE
from pipelines.studio.chart_shot import chart_shot, exif_exposure
from pipelines.studio.developing import shot_of, write_one
from pipelines.studio.large import in_strips
from pipelines.studio.store import Linear, packed
from pipelines.studio.truth import LightShare, PhotoTruth
from tests.pipelines.studio.test_developing import STORED
from tests.pipelines.studio.test_framing import HEIGHT, WIDTH
from tests.pipelines.studio.test_truth import EMPTY

GREYS = (0.10, 0.19, 0.36)
"""Reflectances side by side in both pictures, the darkest left."""
QUIET = CameraSettings(
    smooth=0.0,
    blur=0.0,
    electrons=4000.0,
    sharpen=0.0,
    falloff=0.0,
    jpeg=97,
    crop=Crop(0, 0, 80, 60, 240, 180),
)


def _steps(width: int, height: int, light: float) -> np.ndarray:
    row = light * np.repeat(GREYS, -(-width // 3))[:width]
    return np.ascontiguousarray(
        np.broadcast_to(row[None, :, None], (height, width, 16)), dtype=np.float32
    )


def _linear(lights: tuple[str, ...], main: float, chart: float) -> Linear:
    known = replace(
        EMPTY,
        size=(WIDTH, HEIGHT),
        light=tuple(LightShare(name, 1 / len(lights)) for name in lights),
        stored_light=STORED,
    )
    pictures, charts = (
        packed([_steps(*size, light)] * len(lights))
        for size, light in (((WIDTH, HEIGHT), main), ((120, 90), chart))
    )
    mask = np.zeros((HEIGHT, WIDTH), np.uint8)
    share = 0.4 if len(lights) > 1 else 0.0
    return Linear(pictures, mask, lights, share, 0.0, ("A",), known, charts)


def _levels(path: Path, settings: CameraSettings) -> np.ndarray:
    """Linear values (3, 3) of the three steps, by the camera's own curve turned round."""
    with Image.open(path) as stored:
        shown = np.asarray(ImageOps.exif_transpose(stored), float) / 255
    height, width, _ = shown.shape
    parts = [
        shown[
            height // 4 : -height // 4, int(x * width) - width // 9 : int(x * width) + width // 9
        ].mean((0, 1))
        for x in (1 / 6, 0.5, 5 / 6)
    ]
    grid = np.linspace(0, 1, 20001)
    return np.interp(parts, tone(grid, settings.contrast, settings.curve), grid)


def _told(path: Path) -> float:
    """Exposure by EXIF: time × speed over the f-number squared."""
    with Image.open(path) as stored:
        inner = stored.getexif().get_ifd(0x8769)
    assert inner[0xA403] == 1, "white balance must be manual"
    return float(inner[0x829A]) * inner[0x8827] / float(inner[0x829D]) ** 2


def _taken(linear: Linear, settings: CameraSettings, seed: int, folder: Path) -> PhotoTruth:
    return write_one(linear, settings, shot_of(seed), seed, folder, "x")


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize("lights", [("LED-B3",), ("D65", "A")])
def test_values_agree_by_the_exposures_that_exif_tells(
    tmp_path: Path, curve: str, lights: tuple[str, ...]
) -> None:
    # A balance off by a good deal must be off alike in both.
    settings = replace(QUIET, curve=curve, balance=0.6, mired=15.0, duv=0.004)
    for seed in range(4):
        known = _taken(_linear(lights, 0.9, 0.9), settings, seed, tmp_path)
        assert known.stored_light is not None
        chart, main = tmp_path / known.stored_light.file, tmp_path / known.file
        wanted = _told(chart) / _told(main)
        got = _levels(chart, settings) / _levels(main, settings)
        # The darkest step is left out: half of one of 255 steps is over 2 % of it. A single
        # channel is off by up to one step more, because JPEG rounds brightness and colour apart.
        assert got[1:] == pytest.approx(np.full((2, 3), wanted), rel=0.04)
        lum = _levels(chart, settings) @ LUMINANCE / (_levels(main, settings) @ LUMINANCE)
        assert lum[1:] == pytest.approx([wanted] * 2, rel=0.02)


def test_less_light_on_the_chart_shows_in_its_values(tmp_path: Path) -> None:
    settings = replace(QUIET, curve="none")
    known = _taken(_linear(("D65",), 0.9, 0.45), settings, 1, tmp_path)
    chart, main = tmp_path / "x.light.jpg", tmp_path / known.file
    got = _levels(chart, settings)[1:] / _levels(main, settings)[1:]
    assert got == pytest.approx(np.full((2, 3), 0.5 * _told(chart) / _told(main)), rel=0.02)


@pytest.mark.parametrize("curve", ["none", "flat"])
def test_no_patch_of_the_chart_is_burnt_out_whatever_the_balance(
    tmp_path: Path, curve: str
) -> None:
    linear = _linear(("A",), 0.9, 0.9)
    assert linear.companion is not None
    # A bright tenth of the chart, dark all round it: the meter alone would burn it out.
    bands = 0.05 * np.ones((1, 90, 120, 16), np.float32)
    bands[0, 20:35, 30:45] = 0.9
    settings = replace(QUIET, curve=curve, balance=0.2, mired=-40.0)
    corners = ((24.0, 15.0), (96.0, 15.0), (96.0, 63.0), (24.0, 63.0))
    known = replace(linear.truth, stored_light=replace(STORED, corners=corners))
    linear = replace(linear, companion=bands.astype(np.float16), truth=known)
    _taken(linear, settings, 5, tmp_path)
    with Image.open(tmp_path / "x.light.jpg") as stored:
        shown = np.asarray(ImageOps.exif_transpose(stored)).astype(int)
    top = 255 * float(tone(np.ones(1), settings.contrast, curve)[0])
    patch = shown[44:66, 64:86].reshape(-1, 3).mean(axis=0)
    assert 0.6 * top < patch.max() < top - 2


def test_large_photos_keep_the_ratio_too(tmp_path: Path) -> None:
    settings = replace(QUIET, curve="none", crop=Crop(0, 0, 80, 60, 320, 240))
    linear = _linear(("D65", "A"), 0.9, 0.9)
    write_one(linear, settings, shot_of(3), 3, tmp_path, "x", in_strips)
    chart, main = tmp_path / "x.light.jpg", tmp_path / "x.jpg"
    got = _levels(chart, settings)[1:] / _levels(main, settings)[1:]
    assert got == pytest.approx(np.full((2, 3), _told(chart) / _told(main)), rel=0.02)


def test_a_photo_without_a_stored_light_is_metered_and_balanced_by_itself(tmp_path: Path) -> None:
    linear = _linear(("D65",), 0.9, 0.9)
    linear = replace(linear, companion=None, truth=replace(linear.truth, stored_light=None))
    known = _taken(linear, QUIET, 2, tmp_path)
    assert known.stored_light is None
    assert sorted(p.name for p in tmp_path.iterdir()) == ["x.jpg"]
    with Image.open(tmp_path / "x.jpg") as stored:
        assert stored.getexif().get_ifd(0x8769)[0xA403] == 0


def test_the_exposure_comes_near_what_is_wanted_in_whole_numbers() -> None:
    stops = set()
    for seed in range(200):
        shot = shot_of(seed)
        wanted = float(2.0 ** np.random.default_rng(seed).uniform(-2, 2))
        chart = chart_shot(shot, wanted, seed)
        assert exif_exposure(chart) / exif_exposure(shot) == pytest.approx(wanted, rel=0.07)
        assert chart.taken < shot.taken
        assert 50 <= chart.iso <= 800
        stops.add(chart.f_number)
    assert stops == {1.8, 2.8}
