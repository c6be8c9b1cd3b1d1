"""Where the bench card says the plug stands."""

from dataclasses import dataclass

# source of all: our estimate. Rims of M10 to M18 shells, up to 15 % nearer to the lens than the
# card, and up to one shell's width aside
RIM_MM = (3.9, 9.6)
ASIDE_MM = 14.0
SEAT_TAKEN = 0.4  # likely that who photographs the card has put a plug in it
SEAT_ODDS = 20.0  # by which what stands at the seat is likelier a plug than what stands elsewhere


@dataclass(frozen=True)
class Hint:
    """Where the bench card says the plug stands.

    centre: x, y in displayed pixels. px_per_mm: displayed pixels a millimetre at the card.
    """

    centre: tuple[float, float]
    px_per_mm: float
