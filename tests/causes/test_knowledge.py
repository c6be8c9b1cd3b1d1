"""The shipped knowledge is whole, and forged knowledge is refused with the entry's name."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

import tipvision.causes.knowledge as module
from tipvision.causes.entries import KnowledgeError, is_source
from tipvision.causes.explanation import Engine
from tipvision.causes.knowledge import (
    SIGNS,
    STROKES,
    EngineKind,
    KnownAdvice,
    KnownCause,
    KnownCaution,
    KnownCheck,
    load_knowledge,
    shipped_knowledge,
)
from tipvision.causes.rank import HEALTHY, engine_kinds

SHIPPED = Path(module.__file__).parent / "knowledge"


def _everything() -> Iterator[KnownCause | KnownCheck | KnownAdvice | KnownCaution]:
    known = shipped_knowledge()
    for group in (known.causes, known.checks, known.advice, known.cautions):
        yield from group.values()


def test_every_entry_has_a_source_of_the_closed_list() -> None:
    sources = [entry.source for entry in _everything()]
    sources += [entry.source for entry in shipped_knowledge().verdicts.values()]
    assert len(sources) > 100
    assert [source for source in sources if not is_source(source)] == []


def test_every_text_is_one_plain_sentence() -> None:
    for entry in _everything():
        assert re.fullmatch(r"[A-Z].*[^.]\.", entry.text), entry.id
        assert not re.search(r"[.!?] [A-Z]", entry.text), entry.id


@pytest.mark.parametrize("sign", [sign for sign in SIGNS if sign not in HEALTHY])
@pytest.mark.parametrize(("stroke", "fuel"), engine_kinds(Engine()))
def test_every_fault_has_a_cause_on_every_engine(sign: str, stroke: str, fuel: str) -> None:
    causes = shipped_knowledge().causes.values()
    assert any(
        cause.likelihood[stroke].get(sign) and cause.kind.fits(Engine(stroke, fuel))
        for cause in causes
    )


@pytest.mark.parametrize("sign", HEALTHY)
def test_a_healthy_plug_has_no_cause(sign: str) -> None:
    assert not any(
        cause.likelihood[stroke].get(sign)
        for cause in shipped_knowledge().causes.values()
        for stroke in STROKES
    )


def test_every_cause_has_a_check_on_every_engine_that_can_have_it() -> None:
    known = shipped_knowledge()
    for cause in known.causes.values():
        for stroke, fuel in engine_kinds(Engine(cause.kind.stroke, cause.kind.fuel)):
            assert any(
                cause.id in check.separates and check.kind.fits(Engine(stroke, fuel))
                for check in known.checks.values()
            ), (cause.id, stroke, fuel)


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
        ("causes.toml", "dry_black = 0.16", "dry_blue = 0.16", ["air_filter_dirty", "dry_blue"]),
        ("causes.toml", "dry_black = 0.16", "dry_black = 1.5", ["air_filter_dirty", "1.5"]),
        ("causes.toml", "dry_black = 0.16", "dry_black = 0", ["air_filter_dirty", "0"]),
        ("causes.toml", "dry_black = 0.16", "dry_black = nan", ["air_filter_dirty", "nan"]),
        ("causes.toml", "dry_black = 0.16", "dry_black = true", ["air_filter_dirty", "number"]),
        ("causes.toml", "dry_black = 0.16", "", ["air_filter_dirty", "likelihood"]),
        ("causes.toml", 'stroke = "four"', 'stroke = "six"', ["rings_worn", "six"]),
        ("causes.toml", 'fuel = "carburettor"', 'feul = "carburettor"', ["choke_on", "feul"]),
        (
            "causes.toml",
            "likelihood_two = { wet_black",
            "likelihood_two = { dry_black",
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
        ("causes.toml", 'source_of_likelihoods = "our estimate"', "", ["source_of_likelihoods"]),
        ("checks.toml", 'separates = ["plug_loose"]', 'separates = ["elves"]', ["elves"]),
        ("checks.toml", 'separates = ["plug_loose"]', "", ["plug_tightness", "separates"]),
        ("checks.toml", '["no_anti_seize"]', '["no_such"]', ["plug_tightness", "no_such"]),
        ("checks.toml", "minutes = 10", "minutes = 0", ["look_into_cylinder", "minutes"]),
        ("checks.toml", 'needs = "nothing"', 'needs = "luck"', ["look_into_cylinder", "luck"]),
        ("advice.toml", 'applies = ["unsettled"]', "", ["retake_first", "applies"]),
        ("advice.toml", 'applies = ["unsettled"]', 'applies = ["no"]', ["retake_first", "'no'"]),
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


def test_a_sign_without_a_verdict_is_refused(tmp_path: Path) -> None:
    shutil.copytree(SHIPPED, tmp_path, dirs_exist_ok=True)
    whole = (tmp_path / "verdicts.toml").read_text("utf-8")
    before, after = whole.split('[[verdict]]\nid = "dust"', 1)
    (tmp_path / "verdicts.toml").write_text(before + after[after.index("[[verdict]]") :], "utf-8")
    with pytest.raises(KnowledgeError, match=r"verdicts\.toml, dust: has no verdict"):
        load_knowledge(tmp_path)
