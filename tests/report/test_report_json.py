import json

from tests.report import samples, sets
from tipvision.causes.explanation import Engine
from tipvision.comparison.earlier import earlier_of
from tipvision.comparison.trend import trend_of
from tipvision.record.check import faults_of
from tipvision.report.contents import Shown
from tipvision.report.report_json import report_json
from tipvision.report.shop import Shop

FACTS = {"spark_test": "weak"}
ENGINE = Engine(stroke="four", name="SX-01", gap_mm=(0.7, 0.8))


def test_a_plug_alone() -> None:
    data = json.loads(report_json([Shown(samples.READ)], [""], ENGINE, FACTS, Shop()))
    (plug,) = data["plugs"]
    assert plug["label"] is None and data["together"] is None and data["trend"] is None
    assert faults_of(plug["record"]) == []
    assert plug["record"]["photo"] == "TB-07 left.jpg"
    assert data["engine"] == {"stroke": "four", "name": "SX-01", "gap_mm": [0.7, 0.8]}
    assert data["facts"] == FACTS


def test_a_set_with_what_its_plugs_say_together() -> None:
    text = report_json(sets.shown(sets.ONE_DARK), sets.LABELS, ENGINE, FACTS, Shop("Höhle"))
    assert text.isascii() and "/home" not in text
    data = json.loads(text)
    together = data["together"]
    assert data["shop"] == "Höhle"
    assert [apart["label"] for apart in together["apart"]] == ["cylinder 3"]
    assert together["apart_by_condition"] == ["cylinder 3"]
    assert together["causes_of_one"][0]["id"] == "injector_leaking"
    assert all(faults_of(plug["record"]) == [] for plug in data["plugs"])


def test_with_a_trend() -> None:
    points = [earlier_of(reading, None) for reading in (samples.PALE, samples.READ)]
    trend = trend_of([point for point in points if point is not None])
    data = json.loads(report_json([Shown(samples.READ)], [""], Engine(), {}, Shop(), trend))
    assert data["trend"]["readings"] == 2 and data["trend"]["lightness_change"] < -50
    assert "darker" in data["trend"]["sentence"]
