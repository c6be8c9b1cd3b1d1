"""Families: the threads of the trade, and a set that stays out of all but one look."""

import pytest

from pipelines.studio.plug_families import FAMILIES, HELD_OUT, OPEN, THREADS, chosen


def test_threads_have_the_pitches_and_hexagons_of_the_trade() -> None:
    # TRADE: M8×1, M10×1, M12×1.25, M14×1.25, M18×1.5; hexagons 13 to 21 mm and one inch.
    pitches = {diameter: form.pitch for diameter, form in THREADS.items()}
    assert pitches == {8.0: 1.0, 10.0: 1.0, 12.0: 1.25, 14.0: 1.25, 18.0: 1.5}
    known = {13.0, 14.0, 16.0, 18.0, 19.0, 20.8, 21.0, 25.4}
    assert {h for form in THREADS.values() for h in form.hexagons} == known
    assert {r for form in THREADS.values() for r in form.reaches} == {9.5, 12.7, 19.0, 26.5}


def test_every_kind_of_the_trade_is_in_some_family() -> None:
    kinds = FAMILIES.values()
    assert {k.thread for k in kinds} == set(THREADS)
    assert {k.seat for k in kinds} == {"gasket", "taper"}
    assert {k.nose for k in kinds} == {"projected", "flush", "recessed"}
    assert {k.centre for k in kinds} == {"nickel", "fine_wire"}
    assert {k.strap for k in kinds} == {"j", "short", "double", "triple", "surface"}
    assert len(FAMILIES) == len(set(kinds))


def test_what_is_held_out_shows_nowhere_else() -> None:
    assert set(OPEN) | set(HELD_OUT) == set(FAMILIES)
    assert not set(OPEN) & set(HELD_OUT)
    assert len(HELD_OUT) >= 8
    for name in OPEN:
        kind = FAMILIES[name]
        assert kind.thread != 18.0 and kind.seat != "taper"
        assert kind.strap != "triple"
        assert (kind.nose, kind.centre) != ("recessed", "fine_wire")


def test_surface_gaps_are_open_but_for_one_that_is_held_out() -> None:
    surface = {name for name, kind in FAMILIES.items() if kind.strap == "surface"}
    assert surface & set(OPEN) == {
        "m10-gasket-flush-nickel-surface",
        "m12-gasket-flush-nickel-surface",
    }
    assert surface & set(HELD_OUT) == {"m14-gasket-flush-nickel-surface"}


def test_unknown_names_and_an_empty_choice_are_refused() -> None:
    with pytest.raises(ValueError, match="no family called 'm9'"):
        chosen(["m9"])
    with pytest.raises(ValueError, match="M18"):
        chosen(OPEN, thread=18.0)
    with pytest.raises(ValueError, match="none"):
        chosen([])
