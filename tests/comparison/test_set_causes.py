import pytest

from tests.report import samples, sets
from tipvision.causes.explanation import Cause
from tipvision.comparison.odd_one import compare
from tipvision.comparison.set_causes import SetCauses, set_causes
from tipvision.record.reading import Reading


def split(*readings: Reading) -> SetCauses:
    return set_causes(readings, compare(readings))


def test_in_one_plug_what_belongs_to_a_cylinder_goes_up() -> None:
    causes = split(*sets.ONE_DARK)
    assert [cause.id for cause in causes.own] == [sets.OWN.id, sets.SHARED.id]
    assert all(cause.plugs == (2,) for cause in causes.own)
    own, shared = (cause.probability for cause in causes.own)
    assert own / shared == pytest.approx(0.3 / (0.1 * 0.4))
    assert own + shared == pytest.approx(0.7)  # what its causes came to before
    assert causes.shared == ()


def test_in_all_plugs_what_they_share_goes_up() -> None:
    causes = split(*sets.ALL_DARK)
    assert causes.own == ()
    assert [cause.id for cause in causes.shared] == [sets.SHARED.id, sets.OWN.id]
    assert causes.shared[0].plugs == (0, 1, 2, 3)
    assert causes.shared[0].probability == pytest.approx(0.7 * 0.4 / 0.43)


def test_a_cause_of_unknown_scope_keeps_its_weight() -> None:
    new = Cause("not_in_the_list", "Something new.", 0.35, "likely")
    pair = (sets.SHARED, new)
    odd = (*sets.ONE_DARK[:2], sets.plug(20.0, "dry_black", pair), sets.ONE_DARK[3])
    first, second = split(*odd).own
    assert first.id == new.id
    assert second.probability / first.probability == pytest.approx(0.1 * 0.4 / 0.35)


def test_a_cause_of_the_minority_is_not_shared() -> None:
    others = [sets.plug(value, "normal") for value in (60.0, 61.0, 62.0)]
    assert split(sets.plug(59.0, "normal", (sets.SHARED,)), *others).shared == ()


def test_readings_without_causes() -> None:
    assert split(samples.NOT_A_PLUG, samples.UNREADABLE) == SetCauses((), ())
