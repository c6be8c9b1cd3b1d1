"""What became of each plug is counted as it is, with a net whose answers are known."""

from dataclasses import replace

import cv2
import pytest

from pipelines.tip_net.evaluate import all_outcomes, evaluate, report, write_worst
from pipelines.tip_net.judge import Outcome
from tests.pipelines.tip_net.made_set import write_set
from tests.tip.red_net import write_red_net


@pytest.fixture
def model(tmp_path):
    return write_red_net(tmp_path / "tip")


def outcome(nose_px, state, overlap=None, reasons=(), **cells):
    return Outcome("a.jpg", None, 0, nose_px, state, overlap, reasons, (), cells)


def test_every_plug_and_every_bare_photo_is_judged(tmp_path, model):
    photos = write_set(tmp_path / "set", count=3, radius=14, bare=2)
    found = all_outcomes([photos], "net", model, workers=1)
    assert [o.state for o in found[3:]] == ["clear", "clear"]
    for one in found[:3]:
        assert one.nose_px == 28
        assert one.overlap == pytest.approx(1.0, abs=0.12)
        assert one.state == ("refused" if one.reasons else "answered")
        assert one.cells["view"] == "end_on"
        assert one.cells["light"] == "D65"
        assert one.cells["size"] == "24 to 40 nose px"


def test_an_unsure_net_refuses_and_says_so(tmp_path):
    model = write_red_net(tmp_path / "tip", quality=-2.0)
    photos = write_set(tmp_path / "set", count=2, bare=0)
    for one in all_outcomes([photos], "net", model, workers=1):
        assert one.state == "refused"
        assert "tip_not_found" in one.reasons


def test_a_plug_without_red_is_missed(tmp_path, model):
    photos = write_set(tmp_path / "set", count=2, bare=0)
    for path in photos.glob("*.jpg"):
        grey = cv2.cvtColor(cv2.imread(str(path)), cv2.COLOR_BGR2GRAY)
        cv2.imwrite(str(path), cv2.merge([grey] * 3))
    assert [o.state for o in all_outcomes([photos], "net", model, workers=1)] == ["missed"] * 2


def test_figures_are_those_of_the_outcomes(capsys):
    outcomes = [
        *(outcome(80, "answered", 0.9, light="A", view="side") for _ in range(6)),
        *(outcome(70, "answered", 0.7, light="B", view="side") for _ in range(6)),
        outcome(90, "missed", light="A", view="side"),
        outcome(65, "refused", 0.4, ("blurred", "glare"), light="B", view="side"),
        outcome(10, "refused", 0.4, ("too_small",), light="B", view="side"),
        outcome(0, "clear"),
        outcome(0, "false_plug"),
    ]
    told = report(outcomes)
    large = told["60 px and more"]
    assert large["n"] == 14
    assert large["answered"]["mean"][0] == pytest.approx(0.8)
    assert large["answered"]["p5"][0] == pytest.approx(0.7)
    low, high = large["answered"]["mean"][1:]
    assert 0.7 < low < 0.8 < high < 0.9
    assert large["answered or refused"]["n"] == 13
    assert (large["missed"]["k"], large["refused"]["k"]) == (1, 1)
    assert told["under 24 px"]["reasons"] == {"too_small": 1}
    assert (told["without a plug"]["k"], told["without a plug"]["n"]) == (1, 2)
    assert told["curves"]["light"]["worst"] == "B"
    assert told["curves"]["light"]["cells"]["A"]["missed"] == 1
    printed = capsys.readouterr().out
    assert "missed: 1 of 14 = 7% (95 % interval 1% to 31%)" in printed
    assert "*B" in printed


def test_the_sheet_shows_the_worst_first_and_the_figures_are_written(tmp_path, model, capsys):
    photos = write_set(tmp_path / "set", count=2, bare=1)
    found = all_outcomes([photos], "net", model, workers=1)
    bad = [replace(o, state="answered", overlap=0.9 - 0.4 * k) for k, o in enumerate(found[:2])]
    write_worst(bad, [photos], tmp_path / "worst.png")
    assert cv2.imread(str(tmp_path / "worst.png")).shape == (240, 8 * 240, 3)
    assert [line.split()[1] for line in capsys.readouterr().out.splitlines()] == ["0.50", "0.90"]
    evaluate([photos], "net", model, 1, None, tmp_path / "figures.json")
    assert "curves" in (tmp_path / "figures.json").read_text()
