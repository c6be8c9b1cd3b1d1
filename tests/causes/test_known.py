"""Which engines an entry is for."""

from tipvision.causes.explanation import Engine
from tipvision.causes.known import EngineKind

ANY, TWO, FOUR = EngineKind(), EngineKind("two"), EngineKind("four")
BOWL, RAIL = EngineKind(fuel="carburettor"), EngineKind(fuel="injection")


def test_an_entry_fits_every_engine_that_is_not_known_to_be_another() -> None:
    assert TWO.fits(Engine())
    assert TWO.fits(Engine("two", "injection"))
    assert not TWO.fits(Engine("four"))
    assert not EngineKind("two", "carburettor").fits(Engine("two", "injection"))
    assert ANY.fits(Engine("four", "injection"))


def test_a_wider_kind_covers_a_narrower_one() -> None:
    assert ANY.covers(TWO)
    assert TWO.covers(TWO)
    assert not TWO.covers(ANY)
    assert not BOWL.covers(TWO)


def test_kinds_meet_where_an_engine_can_be_both() -> None:
    assert TWO.meets(BOWL)
    assert not TWO.meets(FOUR)
    assert not BOWL.meets(RAIL)
