from itertools import product

import pytest

from tipvision.workshop.figures import HEADS, SEATS, THREADS, torques
from tipvision.workshop.tightening import SMALL, tightening

EVERY = [*product(THREADS, SEATS, HEADS)]


def test_torque_in_both_units() -> None:
    said = tightening("M14", "gasket", "aluminium").sentences
    assert "24 to 29 N·m (18 to 21 lbf·ft)" in said[0]
    assert "about 1/2 turn" in said[1] and "never over 2/3" in said[1]


@pytest.mark.parametrize(("thread", "seat", "head"), EVERY)
def test_every_plug_has_an_answer_with_its_cautions(thread: str, seat: str, head: str) -> None:
    worked = tightening(thread, seat, head)
    known = (thread, seat, head) in torques()
    assert ("N·m" in worked.sentences[0]) == known
    assert ("manual" in worked.sentences[0]) == (not known)
    assert {"no_anti_seize", "engine_cold", "manual_first"} <= set(worked.cautions)
    if seat == "taper":
        assert "1/16" in worked.sentences[1]
    elif thread in SMALL:
        assert "torque wrench" in worked.sentences[1] and "At most 1/2" in worked.sentences[1]


def test_larger_threads_and_iron_take_more() -> None:
    for seat, head in product(SEATS, HEADS):
        rows = [torques()[key] for t in THREADS if (key := (t, seat, head)) in torques()]
        assert [row.high for row in rows] == sorted(row.high for row in rows)
    for thread, seat in product(THREADS, SEATS):
        soft, hard = (torques().get((thread, seat, head)) for head in HEADS)
        assert soft is None or hard is None or soft.high <= hard.high


def test_a_gasket_that_was_crushed_turns_less() -> None:
    assert "1/12" in tightening("M14", "gasket", "iron", used_gasket=True).sentences[1]
    with pytest.raises(ValueError, match="no gasket"):
        tightening("M14", "taper", "iron", used_gasket=True)


@pytest.mark.parametrize(
    "wrong", [("M9", "gasket", "iron"), ("M14", "flat", "iron"), ("M14", "gasket", "tin")]
)
def test_unknown_words_are_refused(wrong: tuple[str, str, str]) -> None:
    with pytest.raises(ValueError, match="is not one of"):
        tightening(*wrong)


@pytest.mark.parametrize("thread", ["M8", "M10", "M12"])
def test_a_small_thread_asks_for_a_torque_wrench_whatever_its_seat(thread: str) -> None:
    for seat, used in (("gasket", False), ("gasket", True), ("taper", False)):
        said = " ".join(tightening(thread, seat, "aluminium", used).sentences)
        assert "Use a torque wrench" in said and "Without a torque wrench" not in said
