from dataclasses import replace

import pytest

from tests.report import samples, sets
from tipvision.causes.explanation import Cause, Check, Sentence, Verdict
from tipvision.record.reading import Reading
from tipvision.report.set_contents import set_contents_of


def told(readings: tuple[Reading, ...]):  # type: ignore[no-untyped-def]
    labels = sets.LABELS[: len(readings)]
    return set_contents_of(sets.shown(readings), labels, "SX-01")


def test_the_odd_one_and_its_own_cause_come_first() -> None:
    contents = told(sets.ONE_DARK)
    assert contents.compared[0] == "Cylinder 3 stands apart."
    assert contents.compared[1].startswith("It is darker: its nose gives back 0.")
    assert "Cylinder 3 is dry black, and the others are not." in contents.compared
    heading, causes = contents.causes[0]
    assert heading == "In cylinder 3 alone"
    assert [text for text, _ in causes] == [sets.OWN.text, sets.SHARED.text]


def test_what_all_have_is_shared() -> None:
    contents = told(sets.ALL_DARK)
    assert contents.compared[0] == "No plug stands apart."
    assert contents.compared[-1] == "All of them are dry black."
    (heading, causes) = contents.causes[0]
    assert heading == "Shared by the plugs"
    assert causes[0] == (sets.SHARED.text, "likely")


def test_a_plugs_own_first_causes_stand_beside_what_is_shared() -> None:
    rings = Cause("rings_worn", "The rings are worn.", 0.5, "likely")
    contents = told((*sets.ALL_DARK[:3], sets.plug(21.5, "dry_black", (rings, sets.SHARED))))
    assert [heading for heading, _ in contents.causes] == [
        "Shared by the plugs",
        "Cylinder 4, taken by itself",
    ]
    assert [text for text, _ in contents.causes[1][1]] == [rings.text, sets.SHARED.text]
    assert len(told(sets.ALL_DARK).causes) == 1  # nothing is said twice


def test_the_engine_is_judged_by_its_worst_plug() -> None:
    worst = replace(samples.ONLY_FINDINGS, photo=sets.ONE_DARK[0].photo)
    contents = told((*sets.ONE_DARK[:3], worst))
    assert contents.stop and contents.engine_verdict == "Do not start or crank it"


def test_no_plug_brings_a_check_that_another_forbids() -> None:
    cranking = Check("spark_test", "Spark test.", 5)
    looking = Check("look_into_cylinder", "Look in.", 10)
    safe = replace(samples.EXPLANATION, checks=(cranking,), verdict=Verdict("refit", "run"))
    grave = replace(
        samples.EXPLANATION,
        checks=(looking,),
        advice=(Sentence("gap_specified", "Set its gap."),),
        verdict=Verdict("replace", "do_not_start"),
    )
    plugs = tuple(
        replace(reading, explanation=explanation)
        for reading, explanation in zip(sets.ONE_DARK, (safe, safe, grave, safe), strict=True)
    )
    contents = told(plugs)
    assert [text for _, text, _ in contents.checks] == ["Cylinder 3: Look in."]
    assert contents.fitted == ()


def test_each_caution_and_advice_stands_once_and_in_order() -> None:
    contents = told(sets.ALL_DARK)
    assert len(set(contents.cautions)) == len(contents.cautions)
    assert len(set(contents.advice)) == len(contents.advice)
    assert contents.cautions.index(samples.EXPLANATION.cautions[0].text) < contents.cautions.index(
        samples.EXPLANATION.cautions[-1].text
    )


def test_what_holds_for_all_plugs_names_none() -> None:
    contents = told(sets.ALL_DARK)
    assert all(whose == "" for whose, _ in contents.advice)
    quiet = replace(samples.EXPLANATION, advice=())
    one = (replace(sets.ONE_DARK[0], explanation=quiet), *sets.ONE_DARK[1:3])
    assert {whose for whose, _ in told(one).advice} == {"cylinder 2 and cylinder 3"}
    assert all(whose == "" for whose, _ in contents.unseen)
    mixed = told((*sets.ALL_DARK[:3], samples.UNCLEAR))
    assert mixed.unseen[0][0] == "" and mixed.unseen[-1][0] == "cylinder 4"


@pytest.mark.parametrize("name", samples.ALL)
def test_any_reading_can_stand_in_a_set(name: str) -> None:
    contents = told((samples.ALL[name], *sets.ONE_DARK[:2]))
    assert len(contents.plugs) == 3 and contents.compared
