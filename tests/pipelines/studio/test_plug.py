"""The same seed gives the same plug, of the families allowed, and nonsense is refused."""

from typing import Any

import pytest

from pipelines.studio.plug import CONDITIONS, FAMILIES, HELD_OUT, OPEN, FiringEnd, sample_plug
from pipelines.studio.plug_families import THREADS


def _many(number: int, **choices: Any) -> list[FiringEnd]:
    return [sample_plug(seed, CONDITIONS[seed % 5], **choices) for seed in range(number)]  # type: ignore[arg-type]


def test_same_seed_same_plug_other_seed_another() -> None:
    for choices in ({}, {"families": OPEN, "findings": ["cracked", "worn"]}):
        first, again = (sample_plug(11, "normal", **choices) for _ in range(2))  # type: ignore[arg-type]
        assert first == again
        assert first != sample_plug(12, "normal", **choices)  # type: ignore[arg-type]


def test_the_demo_seeds_keep_their_plugs() -> None:
    # Measured on the plugs of the shipped demo photos; `synthetic_images/demo` shows them.
    wanted = {
        (7, "normal"): (20.8, 5.032, 1.0444, 0.8268, 75.4014),
        (31, "wet_black"): (20.8, 4.8604, 1.9821, 0.8154, 130.1434),
        (42, "chalk_white"): (20.8, 5.4162, 0.9716, 1.0157, 302.4292),
    }
    for (seed, condition), measures in wanted.items():
        plug = sample_plug(seed, condition)  # type: ignore[arg-type]
        got = (plug.hexagon, plug.nose_tip, plug.projection, plug.gap, plug.strap_turn)
        assert got == pytest.approx(measures, abs=5e-4)
        assert (plug.thread, plug.reach, plug.strap_kind) == (14.0, 12.7, "j")
        assert plug.findings == () and plug.mixture == {condition: 1.0}


def test_families_not_allowed_are_never_drawn_and_all_others_are() -> None:
    drawn = {plug.family.name for plug in _many(600, families=OPEN)}
    assert drawn == set(OPEN)
    assert {plug.family.name for plug in _many(300, families=HELD_OUT)} == set(HELD_OUT)
    one = next(iter(HELD_OUT))
    assert {plug.family.name for plug in _many(20, families=[one])} == {one}


def test_measures_fit_the_thread_and_the_trade() -> None:
    for plug in _many(500, families=FAMILIES):
        form = THREADS[plug.thread]
        assert plug.pitch == form.pitch and plug.hexagon in form.hexagons
        assert plug.reach in form.reaches
        assert plug.bore_radius < plug.rim_radius < plug.thread / 2
        assert 0.4 <= plug.gap <= 2.0
        lowest, highest = (2.0, 2.7) if plug.centre == "nickel" else (0.4, 0.8)
        assert lowest <= plug.electrode <= highest
        assert max(plug.electrode, plug.electrode_base) + 0.3 < plug.nose_tip
        assert plug.nose_tip / 2 < plug.bore_radius
        heights = {"projected": (0.3, 3.1), "flush": (-0.36, 0.21), "recessed": (-2.6, -0.5)}
        low, high = heights[plug.nose_kind]
        assert low < plug.projection < high
        if plug.strap_turns:
            # No strap sinks into the nose or into the rim.
            assert plug.underside > max(plug.projection, 0.0) + 0.2


def test_threads_and_reaches_can_be_asked_for() -> None:
    plug = sample_plug(1, "normal", thread=10.0, reach=19.0)
    assert (plug.thread, plug.pitch, plug.reach) == (10.0, 1.0, 19.0)
    for plug in _many(40, families=FAMILIES, thread=18.0, reach=12.7):
        assert (plug.thread, plug.pitch, plug.reach) == (18.0, 1.5, 12.7)


def test_fixed_measures_stand_and_the_rest_follows() -> None:
    surface = "m14-gasket-flush-nickel-surface"
    plug = sample_plug(3, "normal", families=[surface], gap=1.2)
    assert plug.gap == 1.2
    assert plug.bore_radius == pytest.approx(plug.electrode / 2 + 1.2)
    with pytest.raises(ValueError, match="no 'gapp' to fix"):
        sample_plug(3, "normal", gapp=1.0)
    with pytest.raises(ValueError, match="does not fit together"):
        sample_plug(3, "normal", electrode=9.0)


def test_unknown_condition_finding_and_thread_are_refused() -> None:
    with pytest.raises(ValueError, match="known: normal"):
        sample_plug(1, "burnt")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="known: fuel_wet"):
        sample_plug(1, "normal", findings=["rusty"])
    with pytest.raises(ValueError, match="M10"):
        sample_plug(1, "normal", thread=9.0)
    with pytest.raises(ValueError, match="needs a finding"):
        sample_plug(1, None)


def test_shares_must_be_those_of_a_mixture() -> None:
    for shares in ({"normal": 0.5}, {"burnt": 1.0}, {"normal": 0.4, "dry_black": 0.6}):
        with pytest.raises(ValueError, match="share"):
            sample_plug(1, "normal", shares=shares)
    plug = sample_plug(1, "normal", shares={"dry_black": 0.3, "normal": 0.7})
    assert plug.mixture == {"normal": 0.7, "dry_black": 0.3}


def test_only_overheated_plugs_are_burnt_round() -> None:
    for seed in range(30):
        assert sample_plug(seed, "chalk_white").wear > 0.6
        assert sample_plug(seed, "normal").wear < 0.4
        assert sample_plug(seed, "unused").wear == 0.0


def test_pale_normal_is_at_least_a_fifth_of_normal_and_square() -> None:
    plugs = [sample_plug(seed, "normal", families=OPEN) for seed in range(400)]
    pale = [plug for plug in plugs if plug.pale]
    assert 0.22 < len(pale) / len(plugs) < 0.4
    assert max(plug.wear for plug in pale) < 0.4
    assert not any(plug.pale for plug in _many(200, families=OPEN) if plug.condition != "normal")
