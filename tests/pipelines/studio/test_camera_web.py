"""Web pictures: pixels keep their places, plugs stay, cut-outs lose the rest."""

from dataclasses import replace

import numpy as np

from pipelines.studio.camera_web import WebSettings, sample_web, worked_over

PLAIN = WebSettings(None, 1.0, 0.0, 0.0, 1.0, (1.0, 1.0, 1.0), 0.0, (0.0, 1.0), 0.0, 400, 75)


def _picture() -> tuple[np.ndarray, np.ndarray]:
    """A grey-brown plug on a blue ground, and where it is."""
    plug = np.zeros((96, 128), bool)
    plug[30:70, 40:90] = True
    shown = np.where(plug[..., None], [120, 100, 80], [40, 70, 130]).astype(np.uint8)
    return shown, plug


def test_a_plain_one_changes_hardly_anything_and_never_its_input() -> None:
    shown, plug = _picture()
    before = shown.copy()
    out = worked_over(shown, plug, PLAIN)
    assert out.shape == shown.shape and out.dtype == np.uint8
    assert np.abs(out[40:60, 50:80].astype(int) - shown[40:60, 50:80]).max() <= 6
    assert (shown == before).all()


def test_a_cut_out_keeps_the_plug_alone() -> None:
    shown, plug = _picture()
    out = worked_over(shown, plug, replace(PLAIN, ground=(1.0, 1.0, 1.0)))
    assert out[:20].min() >= 250
    assert np.abs(out[45:55, 60:70].astype(int) - shown[45:55, 60:70]).max() <= 6
    without = worked_over(shown, np.zeros_like(plug), replace(PLAIN, ground=(1.0, 1.0, 1.0)))
    assert without[:20].max() < 200


def test_saturation_and_halos_do_what_they_say() -> None:
    shown, plug = _picture()
    grey = worked_over(shown, plug, replace(PLAIN, saturation=0.0))[45:55, 60:70].astype(int)
    assert np.ptp(grey, axis=-1).max() <= 4
    haloed = worked_over(shown, plug, replace(PLAIN, halo=(1.5, 1.5)))
    assert haloed[50, 41:47].max() > worked_over(shown, plug, PLAIN)[50, 41:47].max() + 10


def test_what_is_drawn_is_repeated_and_varies() -> None:
    drawn = [sample_web(seed) for seed in range(300)]
    assert drawn[:20] == [sample_web(seed) for seed in range(20)]
    cut = sum(s.ground is not None for s in drawn)
    assert 70 <= cut <= 140
    assert min(s.longest for s in drawn) >= 204 and max(s.longest for s in drawn) <= 400
    assert min(s.saturation for s in drawn) < 0.75 and max(s.saturation for s in drawn) > 1.3
