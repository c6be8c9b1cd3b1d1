"""Several photos, one reading: gates leave photos out, and the record says which."""

from dataclasses import replace

import pytest

from tests.condition.examples import plain_model
from tests.report import samples
from tipvision.reading import Ask
from tipvision.record.as_json import to_record
from tipvision.record.check import faults_of
from tipvision.record.reason import reason
from tipvision.same_plug import same_plug

MODEL = plain_model()
MODEL = replace(MODEL, least=dict.fromkeys(MODEL.least, 0.2))
BLURRED = reason("blurred")


def photo(name, doubt=2.0, gates=(), **shares):
    """A reading under `MODEL`, with a lightness in doubt by so much."""
    total = sum(shares.values())
    told = {label: p / total for label, p in shares.items()}
    possible = tuple(label for label in sorted(told, key=lambda k: -told[k]) if told[label] >= 0.2)
    condition = samples.condition(possible[0], told, *possible)
    own = () if len(possible) == 1 else (reason("undecided", labels="two", again="so"),)
    return replace(
        samples.READ,
        photo=name,
        outcome="unclear" if gates or own else "read",
        reasons=(*gates, *own),
        measurement=samples.measurement((22.4, 0.7, 1.6), doubt),
        condition=replace(condition, reasons=own),
    )


def both(*readings):
    """Their one reading, whose record is valid."""
    one = same_plug(readings, Ask(), MODEL)
    assert faults_of(to_record(one)) == []
    return one


DRY = photo("a.jpg", dry_black=8, wet_black=1, normal=0.5, chalk_white=0.2, unused=0.2)
DOUBTFUL = photo("b.jpg", 1.0, dry_black=6, wet_black=3, normal=0.5, chalk_white=0.3, unused=0.2)
GATED = photo("c.jpg", 0.1, (BLURRED,), normal=9, dry_black=1, wet_black=1, unused=1)


def test_two_photos_are_one_record_with_both_named():
    one = both(DRY, DOUBTFUL)
    record = to_record(one)
    assert (record["photo"], record["photos"]) == ("a.jpg", ["a.jpg", "b.jpg"])
    assert (one.outcome, one.condition.possible) == ("read", ("dry_black",))
    assert record["same_plug"] == {"measured": "b.jpg", "left_out": []}  # the least doubt
    assert one.measurement is DOUBTFUL.measurement and one.tips is DOUBTFUL.tips
    assert "same_plug" not in to_record(DRY)


def test_the_order_of_the_photos_only_shows_in_their_list():
    there, back = (to_record(both(*order)) for order in ((DRY, DOUBTFUL), (DOUBTFUL, DRY)))
    assert {k for k in there if there[k] != back[k]} == {"photo", "photos"}


@pytest.mark.parametrize(
    "useless",
    [GATED, samples.SEVERAL, samples.NOT_FOUND, samples.NOT_A_PLUG, samples.UNREADABLE],
    ids=lambda reading: reading.outcome + reading.photo,
)
def test_a_photo_of_no_use_changes_nothing_and_is_named(useless):
    without, with_it = both(DRY, DOUBTFUL), both(DRY, useless, DOUBTFUL)
    told, more = to_record(without), to_record(with_it)
    assert {k for k in told if told[k] != more[k]} == {"photos", "same_plug"}
    ((name, codes),) = with_it.together.left_out
    assert name == useless.photo
    assert codes == tuple(x.code for x in useless.reasons if x.code != "undecided")


def test_gates_on_all_photos_leave_it_unclear_with_each_reason():
    dark = photo("d.jpg", gates=(reason("too_dark"),), dry_black=9, wet_black=1)
    one = both(replace(DRY, outcome="unclear", reasons=(BLURRED,)), dark, samples.NOT_FOUND)
    assert one.outcome == "unclear"
    texts = [x.text for x in one.reasons]
    assert [text.split(":")[0] for text in texts] == ["Photo 1", "Photo 2", "Photo 3"]
    assert one.condition.possible[0] == "dry_black"
    assert [name for name, _ in one.together.left_out] == ["GN-02.jpg"]
    assert one.explanation.verdict.engine == "check"


@pytest.mark.parametrize(
    ("readings", "outcome"),
    [
        ((samples.UNREADABLE, samples.UNREADABLE), "unreadable"),
        ((samples.UNREADABLE, samples.NOT_A_PLUG), "not_a_plug"),
        ((samples.NOT_A_PLUG, samples.NOT_FOUND), "unclear"),
        ((samples.SEVERAL, samples.UNREADABLE), "unclear"),
    ],
)
def test_where_no_photo_was_measured_the_furthest_stands(readings, outcome):
    one = both(*readings)
    assert (one.outcome, len(one.reasons), len(one.together.left_out)) == (outcome, 2, 2)
    assert one.photo == readings[0].photo


def test_photos_of_two_plugs_are_unclear():
    white = photo("w.jpg", chalk_white=9, unused=0.5, normal=0.5, dry_black=0.1, wet_black=0.1)
    one = both(DRY, white)
    assert (one.outcome, one.reasons[0].code) == ("unclear", "undecided")
    assert {"dry_black", "chalk_white"} <= set(one.condition.possible)
    assert one.explanation.verdict.engine == "not_under_load"  # as for the worse of the two


def test_a_danger_seen_in_one_photo_is_not_outvoted():
    findings = {**DRY.condition.findings, "cracked": 0.9}
    cracked = replace(DRY, photo="x.jpg", condition=replace(DRY.condition, findings=findings))
    one = both(DRY, DOUBTFUL, cracked)
    assert one.condition.findings["cracked"] == 0.9
    assert one.explanation.verdict.engine == "do_not_start"


def test_the_sentences_of_what_decided_are_those_of_the_measured_photo_if_it_agrees():
    assert both(DRY, DOUBTFUL).condition.evidence == DOUBTFUL.condition.evidence
    normal = photo("n.jpg", 0.5, normal=4, dry_black=3, wet_black=1, chalk_white=1, unused=1)
    against = both(DRY, normal)
    assert against.together.measured == "n.jpg"
    assert (against.condition.label, against.condition.evidence) == ("dry_black", None)


def test_one_photo_is_not_several():
    with pytest.raises(ValueError, match="two photos"):
        same_plug([DRY], Ask(), MODEL)
