from tests.whole_engine import WHOLE_ENGINE
from tipvision.causes.explain import explain
from tipvision.causes.explanation import Engine
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.condition.condition import FINDINGS, LABELS, Condition
from tipvision.workshop.fitting import fitting


def condition(**findings: float) -> Condition:
    shares = dict.fromkeys(LABELS, 0.0) | {"dry_black": 1.0}
    known = dict.fromkeys(FINDINGS, 0.0) | findings
    return Condition("dry_black", shares, ("dry_black",), 0.95, known)


def test_the_engine_tells_gap_torque_heat_range_and_jetting() -> None:
    said = {piece.id: piece.text for piece in fitting(WHOLE_ENGINE)}
    assert "0.50 to 0.60 mm (0.020 to 0.024 in)" in said["gap_specified"]
    assert "24 to 29 N·m" in said["tighten_plug"]
    assert "colder plugs have higher numbers" in said["heat_range_kept"]
    assert "300 m and 15 °C (59 °F)" in said["jetted_for"]


def test_a_plug_that_goes_back_has_its_used_gasket() -> None:
    (tighten,) = (piece.text for piece in fitting(WHOLE_ENGINE) if piece.id == "tighten_plug")
    assert 0 < tighten.index("used gasket") < tighten.index("1/12") < tighten.index("1/2 turn")
    (fresh,) = (p.text for p in fitting(WHOLE_ENGINE, new=True) if p.id == "tighten_plug")
    assert "used" not in fresh and "1/12" not in fresh and "1/2 turn" in fresh
    taper = fitting(Engine(thread="M14", seat="taper", head="iron"))
    assert "1/16" in taper[0].text and "used" not in taper[0].text


def test_nothing_is_said_of_what_is_not_known() -> None:
    assert fitting(Engine()) == ()
    assert fitting(Engine(thread="M14", seat="gasket")) == ()
    assert fitting(Engine(fuel="injection", jetted_at_m=300.0)) == ()


def test_the_facts_reach_the_explanation_with_their_cautions() -> None:
    told, plain = (
        explain(condition(), WHOLE_ENGINE),
        explain(condition(), Engine("two", "carburettor")),
    )
    new = [piece.id for piece in told.advice if piece not in plain.advice]
    assert new == ["gap_specified", "tighten_plug", "heat_range_kept", "jetted_for"]
    assert {"no_anti_seize", "never_leaner_or_hotter"} <= {c.id for c in told.cautions}
    assert told.causes == plain.causes and told.verdict == plain.verdict


def test_no_plug_is_fitted_to_an_engine_that_must_not_start() -> None:
    told = explain(condition(metal_specks=0.9), WHOLE_ENGINE)
    assert told.verdict.engine == "do_not_start"
    assert "tighten_plug" not in {piece.id for piece in told.advice}


def test_its_cautions_exist() -> None:
    for piece in fitting(WHOLE_ENGINE):
        assert set(piece.cautions) <= set(shipped_knowledge().cautions)
