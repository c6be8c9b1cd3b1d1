"""Plugs of one engine are held against each other as in a report of them, from what is kept."""

from dataclasses import replace

import numpy as np
import pytest

from tests.batch.running import GROUNDS
from tests.report import samples, sets
from tipvision.batch.sources.found import Found
from tipvision.batch.store.comparable import packed, unpacked
from tipvision.batch.store.ledger import begin_run, end_listing, keep_reading, note, settle
from tipvision.batch.store.store import committed, opened
from tipvision.batch.telling.odd_plugs import odd_plugs
from tipvision.batch.workers.outcome import Outcome
from tipvision.comparison.odd_one import compare

SETS = {
    "one dark": sets.ONE_DARK,
    "all dark": sets.ALL_DARK,
    "two that differ": [sets.plug(64.0), sets.plug(15.0)],
    "one wet": [
        sets.plug(20.0, "dry_black"),
        sets.plug(21.0, "dry_black"),
        sets.plug(20.5, "wet_black"),
    ],
}


def kept(readings):
    return [unpacked(packed(one)) for one in readings]


@pytest.mark.parametrize("name", SETS)
def test_what_is_kept_compares_like_the_readings_themselves(name):
    here, there = compare(SETS[name]), compare(kept(SETS[name]))
    assert (here.odd, here.by_condition, here.uneven, here.measured, here.label) == (
        *(there.odd, there.by_condition, there.uneven, there.measured),
        there.label,
    )
    for one, other in zip(here.by_colour, there.by_colour, strict=True):
        assert one.plug == other.plug
        np.testing.assert_allclose(one.difference, other.difference, rtol=1e-4, atol=1e-5)
        np.testing.assert_allclose(one.sd, other.sd, rtol=1e-3)


def test_what_was_not_measured_is_not_kept():
    assert packed(samples.NOT_FOUND) is packed(samples.UNREADABLE) is None


def odd_of(out, photos, content=lambda name: name):
    """photos: (name, machine, cylinder, reading). content: the digest of a photo by its name."""
    with opened(out) as store:
        run = begin_run(store, GROUNDS)
        with committed(store):
            for turn, (name, machine, cylinder, reading) in enumerate(photos, 1):
                note(store, Found(name, 0, name, 1, "1", machine, cylinder), run, turn, "new")
                held = packed(replace(reading, photo=name))
                keep_reading(store, content(name), Outcome("unclear", (), (), None, held))
                settle(store, name, content(name))
        end_listing(store, run)
        return odd_plugs(store)


def test_the_odd_plug_of_an_engine_is_named_and_others_are_not(tmp_path):
    dark = [(f"SX-01/2026/cyl{k}.jpg", "SX-01", k, one) for k, one in enumerate(sets.ONE_DARK, 1)]
    even = [(f"SX-02/cyl{k}.jpg", "SX-02", k, sets.ALL_DARK[k]) for k in range(2)]
    alone = [("TB-07/cyl1.jpg", "TB-07", 1, sets.plug(64.0)), ("cyl2.jpg", None, 2, sets.plug(9.0))]
    apart = [("SX-03/a/cyl1.jpg", "SX-03", 1, sets.plug(64.0))]
    apart += [("SX-03/b/cyl2.jpg", "SX-03", 2, sets.plug(15.0))]  # another day: no set
    (found,) = odd_of(tmp_path, [*dark, *even, *alone, *apart])
    assert (found["machine"], found["folder"]) == ("SX-01", "SX-01/2026")
    assert found["odd"] == [{"cylinder": 3, "by": ["colour", "condition"]}]
    assert found["photos"]["3"] == "SX-01/2026/cyl3.jpg"


def test_of_two_photos_of_a_cylinder_the_later_by_name_counts(tmp_path):
    early = [(f"SX-01/1-cyl{k}.jpg", "SX-01", k, one) for k, one in enumerate(sets.ONE_DARK, 1)]
    late = [(f"SX-01/2-cyl{k}.jpg", "SX-01", k, sets.plug(64.0 + k / 9)) for k in range(1, 5)]
    (tmp_path / "early").mkdir()
    (tmp_path / "late").mkdir()
    assert len(odd_of(tmp_path / "early", early)) == 1
    assert odd_of(tmp_path / "late", [*early, *late]) == []


def test_a_photo_that_stands_for_two_cylinders_counts_for_neither(tmp_path):
    light, dark = sets.plug(64.0), sets.plug(15.0)
    photos = [(f"SX-01/a{k}.jpg", "SX-01", k, dark if k == 3 else light) for k in (1, 2, 3, 4)]
    copies = {"SX-01/a1.jpg": "SX-01/a3.jpg"}  # the dark plug is 3, or is it 1?
    held = [(*photo[:3], dark) if photo[0] in copies else photo for photo in photos]
    assert odd_of(tmp_path, held, lambda name: copies.get(name, name)) == []


def test_a_copy_does_not_hide_the_photo_that_a_cylinder_has_of_its_own(tmp_path):
    photos = [(f"SX-01/a{k}.jpg", "SX-01", k, one) for k, one in enumerate(sets.ONE_DARK, 1)]
    copy = ("SX-01/b3.jpg", "SX-01", 3, sets.ONE_DARK[3])  # of cylinder 4, named later
    (found,) = odd_of(tmp_path, [*photos, copy], lambda n: n.replace("b3", "a4"))
    assert [plug["cylinder"] for plug in found["odd"]] == [3]
    assert found["photos"] == {str(k): f"SX-01/a{k}.jpg" for k in (1, 2, 3)}
