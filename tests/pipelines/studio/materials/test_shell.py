"""Used shells: brown from one end to the other, dark in the troughs, bright where rubbed."""

import numpy as np

from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.materials.palettes import Shelf
from pipelines.studio.materials.place import Place
from pipelines.studio.materials.shell import LOOKS, body
from pipelines.studio.materials.surface import mixed, texel_points
from pipelines.studio.plug import sample_plug

USED = ("normal", "dry_black", "wet_black", "chalk_white")


def _shell(seed: int, condition: str) -> tuple[Place, np.ndarray]:
    """The shell's place and its reflectance (rows, columns, 3) at 440, 560 and 640 nm."""
    plug = sample_plug(seed, condition)  # type: ignore[arg-type]
    points = texel_points(plug_parts(plug)["shell"], 320, 96)
    place = Place(plug, "shell", points, seed)
    body_, metal = mixed(LOOKS[condition](place, Shelf(seed, None)), np.array([2, 8, 12]))
    return place, body_ + metal


def _thread(place: Place) -> np.ndarray:
    """Where the thread is seen from outside, clear of its ends."""
    outside = place.radius > place.plug.bore_radius + 0.3
    return np.asarray(outside & (place.z < -2.5) & (place.z > -place.plug.reach + 3.0))


def test_crests_are_brighter_than_troughs_on_used_plugs() -> None:
    for condition in USED:
        ratio = []
        for seed in range(8):
            place, shown = _shell(seed, condition)
            deep = place.plug.thread / 2 - place.radius
            on = _thread(place)
            crest, trough = shown[on & (deep < 0.08)], shown[on & (deep > 0.45)]
            ratio.append(crest.mean() / trough.mean())
        assert np.median(ratio) > 1.4, condition


def test_used_metal_is_browner_than_new() -> None:
    def red_over_blue(condition: str) -> float:
        values = []
        for seed in range(8):
            place, shown = _shell(seed, condition)
            mean = shown[_thread(place)].mean(axis=0)
            values.append(mean[2] / mean[0])
        return float(np.median(values))

    assert red_over_blue("normal") > 1.5
    assert red_over_blue("unused") < 1.25


def test_the_varnish_runs_from_one_end_to_the_other_either_way() -> None:
    rises = []
    for seed in range(24):
        place, shown = _shell(seed, "normal")
        on, half = _thread(place), -place.plug.reach / 2
        near = shown[on & (place.z > half), 1].mean()
        far = shown[on & (place.z < half), 1].mean()
        rises.append(near / far - 1)
    # Mostly darker at the rim, which is hotter, but not always.
    assert 0.5 < np.mean(np.array(rises) < 0) < 1.0
    assert np.abs(rises).max() > 0.2


def test_a_used_hexagon_differs_from_plug_to_plug_and_a_new_one_is_clean() -> None:
    light = []
    for seed in range(6):
        plug = sample_plug(seed, "normal")
        points = texel_points(plug_parts(plug)["hex"], 64, 64)
        place = Place(plug, "hex", points, seed)
        used, new = (
            sum(mixed(body(place, Shelf(seed, None), is_new), np.array([8])))
            for is_new in (False, True)
        )
        assert used.mean() < 0.75 * new.mean()
        light.append(float(used.mean()))
    assert np.ptp(light) > 0.04
