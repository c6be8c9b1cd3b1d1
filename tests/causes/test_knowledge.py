"""The shipped knowledge is whole, and forged knowledge is refused with the entry's name."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

import tipvision.causes.knowledge as module
from tipvision.causes.entries import is_source
from tipvision.causes.explanation import Engine
from tipvision.causes.fault import KnowledgeError
from tipvision.causes.knowledge import load_knowledge, shipped_knowledge
from tipvision.causes.known import (
    SIGNS,
    EngineKind,
    KnownAdvice,
    KnownCause,
    KnownCaution,
    KnownCheck,
    KnownFact,
    KnownFinding,
)
from tipvision.causes.rank import HEALTHY, engine_kinds
from tipvision.condition.condition import FINDINGS, LABELS

SHIPPED = Path(module.__file__).parent / "knowledge"
NEVER_SEEN = KnownFinding("", 1.0, "our estimate")
WITHOUT_CHECK = ("one_sided_flow",)  # a picture of the flow, which nothing on the bench shows


def _everything() -> Iterator[KnownCause | KnownCheck | KnownAdvice | KnownCaution | KnownFact]:
    known = shipped_knowledge()
    for group in (known.causes, known.checks, known.advice, known.cautions, known.facts):
        yield from group.values()


def test_every_entry_has_a_source_of_the_closed_list() -> None:
    sources = [entry.source for entry in _everything()]
    known = shipped_knowledge()
    sources += [entry.source for entry in (*known.verdicts.values(), *known.findings.values())]
    assert len(sources) > 100
    assert [source for source in sources if not is_source(source)] == []


def test_every_text_is_one_plain_sentence() -> None:
    for entry in _everything():
        assert re.fullmatch(r"[A-Z].*[^.]\.", entry.text), entry.id
        assert not re.search(r"[.!?] [A-Z]", entry.text), entry.id


@pytest.mark.parametrize("sign", [*LABELS, *FINDINGS])
@pytest.mark.parametrize(("stroke", "fuel"), engine_kinds(Engine()))
def test_every_condition_and_finding_has_a_cause_on_every_engine(
    sign: str, stroke: str, fuel: str
) -> None:
    known = shipped_knowledge()
    fitting = [cause for cause in known.causes.values() if cause.kind.fits(Engine(stroke, fuel))]
    assert any(
        cause.share[stroke].get(sign)
        or cause.findings.get(sign, 0.0) > 4 * known.findings.get(sign, NEVER_SEEN).usual
        for cause in fitting
    )


def test_nothing_wrong_stands_first_on_a_healthy_plug_and_nowhere_else() -> None:
    for cause in shipped_knowledge().causes.values():
        for shares in cause.share.values():
            assert cause.fault or set(shares) <= set(HEALTHY)
            assert not cause.fault or all(shares.get(sign, 0.0) <= 0.05 for sign in HEALTHY)


def test_every_fault_has_a_check_on_every_engine_that_can_have_it() -> None:
    known = shipped_knowledge()
    for cause in known.causes.values():
        for stroke, fuel in engine_kinds(Engine(cause.kind.stroke, cause.kind.fuel)):
            telling = [
                check.id
                for check in known.checks.values()
                if check.kind.fits(Engine(stroke, fuel)) and set(check.tells) & set(cause.facts)
            ]
            assert telling or cause.id in WITHOUT_CHECK, (cause.id, stroke, fuel)


def test_the_result_of_a_check_is_worth_entering() -> None:
    # Some cause at least must make some result of it three times as frequent as it usually is.
    known = shipped_knowledge()
    for check in known.checks.values():
        assert any(
            share > 3 * known.facts[id_].usual[result]
            for id_ in check.tells
            for cause in known.causes.values()
            for result, share in cause.facts.get(id_, {}).items()
        ), check.id


@pytest.mark.parametrize(
    ("caution", "words"),
    [
        ("engine_cold", ["cold", "thread"]),
        ("ignition_off", ["ignition off"]),
        ("hydraulic_lock", ["lock", "by hand"]),
        ("fuel_pressure_held", ["pressure", "release"]),
        ("spark_away_from_hole", ["ground", "away from the plug hole", "fuel off"]),
        ("leads_grounded", ["other lead", "people"]),
        ("crank_jumps", ["crank", "lock it"]),
        ("run_outdoors", ["outdoors", "carbon monoxide"]),
        ("outboard_water", ["water"]),
        ("moving_parts", ["belt", "fan", "propeller", "hot exhaust"]),
        ("eye_protection", ["Eye protection"]),
        ("do_not_start", ["Metal specks", "ceramic", "electrode", "gap", "start or crank"]),
        ("not_under_load", ["under load"]),
        ("ash_glows", ["glow"]),
        ("fine_wire", ["wire brush", "blasting", "lever"]),
        ("no_blasting", ["blasted"]),
        ("never_leaner_or_hotter", ["leaner", "hotter", "colour alone"]),
        ("one_clue", ["one clue, not proof", "before parts are bought"]),
        ("manual_first", ["manual", "local rules", "qualified technician"]),
        ("premix_oil", ["less oil", "seizes"]),
        ("closed_ground", ["closed ground", "stop switch", "without restarting"]),
        ("no_load_stop", ["generator", "outboard", "catalyst"]),
        ("no_anti_seize", ["over-tightens"]),
        ("crankcase_limit", ["0.4 bar"]),
        ("wet_test_oil", ["small engine"]),
    ],
)
def test_the_cautions_of_the_trade_are_all_there(caution: str, words: list[str]) -> None:
    text = shipped_knowledge().cautions[caution].text.lower()
    assert [word for word in words if word.lower() not in text] == []


def test_every_caution_can_be_shown() -> None:
    known = shipped_knowledge()
    named = {
        id_ for entry in (*known.checks.values(), *known.advice.values()) for id_ in entry.cautions
    }
    assert [c.id for c in known.cautions.values() if not c.applies and c.id not in named] == []


@pytest.mark.parametrize("sign", SIGNS)
def test_every_condition_and_finding_has_advice(sign: str) -> None:
    assert any(sign in advice.applies for advice in shipped_knowledge().advice.values())


def test_the_wet_test_is_for_four_strokes_and_the_crankcase_test_for_two_strokes() -> None:
    checks = shipped_knowledge().checks
    assert checks["compression_wet"].kind == EngineKind(stroke="four")
    assert checks["crankcase_pressure"].kind == EngineKind(stroke="two")


def test_no_advice_sends_anyone_leaner_or_hotter() -> None:
    # The cautions forbid it in so many words; no advice may even name it, nor may a check.
    known = shipped_knowledge()
    for entry in (*known.advice.values(), *known.checks.values()):
        assert not re.search(
            r"\b(lean|leaner|hotter|lean out|weaken|smaller jet|advance the)\b", entry.text, re.I
        ), entry.id


@pytest.mark.parametrize(
    ("file", "old", "new", "names"),
    [
        ("causes.toml", 'id = "float_high"', 'id = "choke_on"', ["choke_on", "twice"]),
        ("causes.toml", "dry_black = 0.17", "dry_blue = 0.17", ["air_filter_dirty", "dry_blue"]),
        ("causes.toml", 'scope = "engine"', 'scope = "fleet"', ["choke_on", "`scope`", "fleet"]),
        ("causes.toml", "dry_black = 0.17", "dry_black = 1.5", ["air_filter_dirty", "1.5"]),
        ("causes.toml", "dry_black = 0.17", "dry_black = 0", ["air_filter_dirty", "0"]),
        ("causes.toml", "dry_black = 0.17", "dry_black = nan", ["air_filter_dirty", "nan"]),
        ("causes.toml", "dry_black = 0.17", "dry_black = true", ["air_filter_dirty", "number"]),
        (
            "causes.toml",
            "share = { dry_black = 0.17, normal = 0.003 }",
            "",
            ["air_filter_dirty", "share"],
        ),
        ("causes.toml", 'stroke = "four"', 'stroke = "six"', ["rings_worn", "six"]),
        ("causes.toml", 'fuel = "carburettor"', 'feul = "carburettor"', ["choke_on", "feul"]),
        (
            "causes.toml",
            "share_two = { wet_black",
            "share_two = { dry_black",
            ["idling_or_short_runs", "dry_black"],
        ),
        (
            "causes.toml",
            'source = "common practice, no published source"',
            "",
            ["choke_on", "source"],
        ),
        (
            "causes.toml",
            'source = "common practice, no published source"',
            'source = "hearsay"',
            ["choke_on", "hearsay"],
        ),
        ("causes.toml", 'source_of_numbers = "our estimate"', "", ["source_of_numbers"]),
        ("checks.toml", 'tells = ["plug_tight"]', 'tells = ["elves"]', ["elves"]),
        ("checks.toml", 'tells = ["plug_tight"]', "", ["plug_tightness", "tells"]),
        ("checks.toml", 'tells = ["gap"]', 'tells = ["choke"]', ["gap", "choke", "every engine"]),
        ("checks.toml", '"compression_dry"\ntells', '"elves"\ntells', ["compression_wet", "elves"]),
        ("causes.toml", "choke = { stuck = 1.0 }", "choke = { bent = 1.0 }", ["choke_on", "bent"]),
        (
            "causes.toml",
            "choke = { stuck = 1.0 }",
            "chock = { stuck = 1.0 }",
            ["choke_on", "chock"],
        ),
        ("causes.toml", "choke = { stuck = 1.0 }", "smoke = { steady = 2.0 }", ["choke_on", "2.0"]),
        (
            "causes.toml",
            "fuel_level = { high = 0.96, low = 0 }",
            "fuel_pressure = { high = 0.96 }",
            ["float_high", "fuel_pressure", "another kind"],
        ),
        ("causes.toml", "fault = false\nshare", "fault = 0\nshare", ["runs_well", "fault"]),
        ("facts.toml", "free = 0.97", "free = 0.5", ["choke", "usual"]),
        ("facts.toml", '"not_run_yet"', '"elves"', ["plug_hours", "elves"]),
        ("facts.toml", "none = [", "never = [", ["plug_hours", "never"]),
        ("findings.toml", 'id = "ash"', 'id = "ashes"', ["ashes"]),
        ("findings.toml", "usual = 0.03", "usual = 0", ["ash", "usual"]),
        ("checks.toml", '["no_anti_seize"]', '["no_such"]', ["plug_tightness", "no_such"]),
        ("checks.toml", "minutes = 10", "minutes = 0", ["look_into_cylinder", "minutes"]),
        ("checks.toml", 'needs = "nothing"', 'needs = "luck"', ["look_into_cylinder", "luck"]),
        ("advice.toml", 'applies = ["unsettled"]', "", ["retake_first", "applies"]),
        ("advice.toml", 'applies = ["unsettled"]', 'applies = ["no"]', ["retake_first", "'no'"]),
        ("advice.toml", 'plug_hours = ["none"]', 'plug_hours = ["yes"]', ["said_new", "'yes'"]),
        ("advice.toml", 'plug_hours = ["none"]', 'plug_days = ["none"]', ["said_new", "plug_days"]),
        ("cautions.toml", 'applies = ["always"]', 'applies = ["ever"]', ["engine_cold", "ever"]),
        ("cautions.toml", 'id = "fine_wire"', 'id = "fine_wires"', ["fine_wire"]),
        ("verdicts.toml", 'id = "bridged"', 'id = "bridge"', ["bridge"]),
        ("verdicts.toml", 'plug = "refit"', 'plug = "keep"', ["normal", "keep"]),
    ],
)
def test_forged_knowledge_is_refused(
    tmp_path: Path, file: str, old: str, new: str, names: list[str]
) -> None:
    shutil.copytree(SHIPPED, tmp_path, dirs_exist_ok=True)
    whole = (tmp_path / file).read_text("utf-8")
    assert old in whole
    (tmp_path / file).write_text(whole.replace(old, new, 1), "utf-8")
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(tmp_path)
    for name in names:
        assert name in str(caught.value)


@pytest.mark.parametrize(
    ("file", "table"), [("verdicts.toml", "verdict"), ("findings.toml", "finding")]
)
def test_a_sign_without_an_entry_is_refused(tmp_path: Path, file: str, table: str) -> None:
    shutil.copytree(SHIPPED, tmp_path, dirs_exist_ok=True)
    whole = (tmp_path / file).read_text("utf-8")
    before, after = whole.split(f'[[{table}]]\nid = "dust"', 1)
    (tmp_path / file).write_text(before + after[after.index(f"[[{table}]]") :], "utf-8")
    with pytest.raises(KnowledgeError, match=rf"{file}, dust: has no entry"):
        load_knowledge(tmp_path)
