"""How tight a plug goes in, by thread, seat and head."""

from tipvision.workshop.figures import HEADS, SEATS, THREADS, figures, torques
from tipvision.workshop.units import nm_to_lbf_ft
from tipvision.workshop.worked import Worked, once

SMALL = ("M8", "M10", "M12")  # threads where the turn is no guide
_FRACTIONS = {0.0625: "1/16", 0.0833: "1/12", 0.5: "1/2", 0.6667: "2/3"}


def tightening(thread: str, seat: str, head: str, used_gasket: bool = False) -> Worked:
    """Torque and turn for a plug in a cold head, threads clean and dry.

    thread, seat, head: of `THREADS`, `SEATS`, `HEADS`. used_gasket: whether the gasket was crushed
    before. Raises ValueError for another word, or a used gasket on a taper seat.
    """
    for word, known in ((thread, THREADS), (seat, SEATS), (head, HEADS)):
        if word not in known:
            raise ValueError(f"'{word}' is not one of {', '.join(known)}.")
    if used_gasket and seat == "taper":
        raise ValueError("A taper seat has no gasket.")
    torque = torques().get((thread, seat, head))
    where = f"{thread}, {_SEAT_WORDS[seat]}, {head} head"
    turned, turns = _turn(thread, seat, used_gasket)
    if torque is None:
        first = f"{where}: no figure is known here; take the torque from the manual."
    else:
        newton = f"{torque.low:.0f} to {torque.high:.0f} N·m"
        pounds = f"{nm_to_lbf_ft(torque.low):.0f} to {nm_to_lbf_ft(torque.high):.0f} lbf·ft"
        first = f"{where}: {newton} ({pounds}) on new threads, clean and dry, in a cold head."
    loose = (
        "A loose plug cannot pass its heat to the head and overheats; an over-tightened one cracks"
        " inside or takes the thread with it."
    )
    numbers: dict[str, float | None] = {
        "torque_low_nm": None if torque is None else torque.low,
        "torque_high_nm": None if torque is None else torque.high,
        "torque_low_lbf_ft": None if torque is None else nm_to_lbf_ft(torque.low),
        "torque_high_lbf_ft": None if torque is None else nm_to_lbf_ft(torque.high),
    }
    numbers |= {name: figures()[name].low for name in turns}
    sources = [figures()[name].source for name in turns]
    return Worked(
        (first, turned, loose),
        numbers,
        ("engine_cold", "no_anti_seize", "manual_first"),
        once(*sources, *([] if torque is None else [torque.source])),
    )


_SEAT_WORDS = {"gasket": "gasket seat", "taper": "taper seat"}


_SMALL_FIRST = (
    "Use a torque wrench: so small a thread gives way early. At most hand-tight and {} of a turn."
)


def _turn(thread: str, seat: str, used_gasket: bool) -> tuple[str, tuple[str, ...]]:
    """What to do without a torque wrench, and the figures in it."""
    if seat == "taper":
        names: tuple[str, ...] = ("turn_taper",)
        words = "Without a torque wrench: hand-tight, then {} of a turn; a taper seat jams easily."
    elif used_gasket:
        names = ("turn_used_gasket",)
        words = (
            "Without a torque wrench: hand-tight, then {} of a turn: the gasket is crushed already."
        )
    elif thread in SMALL:
        names = ("turn_small_most",)
        words = "Use a torque wrench: so small a thread gives way early. At most {} turn."
    else:
        names = ("turn_new_gasket", "turn_new_gasket_most")
        words = (
            "Without a torque wrench: hand-tight, then about {} turn for a new gasket, and never"
            " over {}."
        )
    if thread in SMALL and names != ("turn_small_most",):
        words = _SMALL_FIRST
    return words.format(*(_FRACTIONS[figures()[name].low] for name in names)), names
