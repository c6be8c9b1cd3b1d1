"""Metal that the studio's own is not like: only metal changes, and in the ways that are drawn."""

from dataclasses import replace

import cv2
import numpy as np
import numpy.typing as npt
import pytest

from pipelines.studio import other_metal
from pipelines.studio.labels import LABEL_OF, NOSE
from pipelines.studio.other_metal import MOST, OtherMetal, metal_gain, sample_metal
from pipelines.studio.truth import PLUG_STEP

PLAIN = OtherMetal(level=0.0, tint=0.0, contrast=1.0, blotch=0.0, size=0.2, stain=0.0)
NOSE_PX = 20.0


def _mask() -> npt.NDArray[np.uint8]:
    mask = np.zeros((60, 80), np.uint8)
    mask[10:50, 10:70] = LABEL_OF["shell"] + PLUG_STEP
    mask[20:40, 30:50] = NOSE + PLUG_STEP
    mask[28:32, 20:60] = LABEL_OF["strap"] + PLUG_STEP
    return mask


def _light() -> npt.NDArray[np.float32]:
    return np.random.default_rng(2).uniform(0.1, 0.9, (60, 80)).astype(np.float32)


def _gain(monkeypatch: pytest.MonkeyPatch, **drawn: float) -> npt.NDArray[np.float32]:
    monkeypatch.setattr(other_metal, "sample_metal", lambda _: replace(PLAIN, **drawn))
    return metal_gain(_mask(), _light(), NOSE_PX, 4)


INSIDE = (slice(13, 19), slice(13, 67))
"""Shell away from every edge."""


def test_only_metal_changes_and_never_without_bound() -> None:
    mask, light = _mask(), _light()
    metal = np.isin(mask % PLUG_STEP, other_metal.METAL)
    for seed in range(20):
        gain = metal_gain(mask, light, NOSE_PX, seed)
        assert gain.shape == (60, 80, 16) and gain.dtype == np.float32
        assert (gain[~metal] == 1).all()
        assert (np.abs(np.log(gain)) <= MOST + 1e-5).all()
        np.testing.assert_array_equal(gain, metal_gain(mask, light, NOSE_PX, seed))
    assert sample_metal(1) != sample_metal(2)


def test_level_tint_and_blotches_are_what_was_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    assert _gain(monkeypatch)[INSIDE] == pytest.approx(1, abs=1e-5)
    level = np.log(_gain(monkeypatch, level=0.5)[INSIDE])
    assert level == pytest.approx(0.5, abs=1e-3)
    tint = np.log(_gain(monkeypatch, tint=0.2)[INSIDE])
    assert tint[..., 0] == pytest.approx(-0.2, abs=1e-3)
    assert tint[..., -1] == pytest.approx(0.2, abs=1e-3)
    blotch = np.log(_gain(monkeypatch, blotch=0.3)[INSIDE])
    assert 0.1 < blotch.std() < 0.5
    assert np.ptp(blotch, axis=-1).max() < 1e-5


@pytest.mark.parametrize("contrast", [0.5, 2.0])
def test_fine_detail_gains_or_loses_contrast(
    monkeypatch: pytest.MonkeyPatch, contrast: float
) -> None:
    ln = np.log(_light() * _gain(monkeypatch, contrast=contrast)[..., 8])
    was = np.log(_light())
    fine = [(one - cv2.GaussianBlur(one, (0, 0), 2.5))[INSIDE].std() for one in (ln, was)]
    assert fine[0] / fine[1] == pytest.approx(contrast, rel=0.2)
