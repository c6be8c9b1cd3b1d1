import json

import pytest

WORKED = {
    "gap": ["0.9", "--specified", "0.7-0.8"],
    "heat-range": ["7", "--changed", "use", "--scale", "higher-is-colder"],
    "tip-temperature": ["1150F"],
    "mixture": ["--jetted-at", "0", "--at", "6500ft", "--in", "86F", "--humidity", "60"],
    "tightening": ["--thread", "M14", "--seat", "gasket", "--head", "aluminium"],
}
ENGINE = """
fuel = "carburettor"
[plug]
thread = "M10"
seat = "gasket"
head = "iron"
gap_mm = [0.6, 0.7]
heat_range = "higher_is_hotter"
[jetting]
altitude_m = 1200
temperature_c = 20
"""


@pytest.mark.parametrize("name", WORKED)
def test_every_sum_answers_with_cautions_and_sources(run, name):
    status, out, err = run("reckon", name, *WORKED[name])
    assert (status, err) == (0, "")
    assert "1! " in out and "From: " in out
    status, out, _ = run("reckon", name, *WORKED[name], "--json")
    answer = json.loads(out)
    assert status == 0
    assert answer["sum"] == name
    assert answer["sentences"] and answer["numbers"] and answer["sources"]
    assert all(set(caution) == {"id", "text"} for caution in answer["cautions"])


def test_the_engine_file_fills_in_what_is_not_said(run, tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text(ENGINE)
    said = ["--engine-file", path, "--json"]

    def numbers(*arguments):
        return json.loads(run("reckon", *arguments, *said)[1])["numbers"]

    assert numbers("gap", "0.9")["specified_high_mm"] == 0.7
    assert numbers("gap", "0.9", "--specified", "0.8")["specified_high_mm"] == 0.8
    assert numbers("heat-range", "7", "--changed", "fuel")["next"] == 6
    assert numbers("tightening")["torque_high_nm"] == 15
    assert numbers("tightening", "--head", "aluminium")["torque_high_nm"] == 12
    drift = numbers("mixture", "--at", "1200", "--in", "20C")
    assert drift["air_fuel_percent"] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["0.035in", "--specified", "0.028-0.031in"], "too wide"),
        (["0.05", "--specified", "0.7-0.8"], "Do not start"),  # a specification in mm tells both
        (["0.05mm"], "Do not start"),
        (["0,5", "--specified", "0,7-0,8"], "too narrow"),
        (["0"], "Do not start"),
    ],
)
def test_a_small_gap_whose_unit_is_known_is_answered(run, arguments, words):
    status, out, err = run("reckon", "gap", *arguments)
    assert (status, err) == (0, "") and words in out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["gap", "wide"], "no number"),
        (["mixture", "--jetted-at", "0", "--at", "1,200ft"], "write 1200 or 1.200"),
        (["gap", "0.035", "--specified", "0.028-0.031"], "0.028-0.031in"),
        (["gap", "0.035in", "--specified", "0.028-0.031"], "0.028-0.031in"),
        (["gap", "0.035", "--specified", "0.028-0.031in"], "0.035in"),
        (["gap", "0.035"], "0.035in"),
        (["gap", "35"], "in thousandths of an inch that is 0.035in"),
        (["gap", "0.9", "--specified", "28-31"], "in thousandths of an inch that is 0.028-0.031in"),
        (["gap", "12mm"], "12 mm is no gap of a plug."),
        (["gap", "0.9", "--specified", "0.7-0.8", "--engine-file", "gone.toml"], "gone.toml"),
        (["heat-range", "7", "--changed", "colour"], "not one of"),
        (["heat-range", "7", "--changed", "use", "--scale", "up"], "higher-is-colder"),
        (["mixture", "--jetted-at", "0", "--at", "100", "--jet", "x"], "'x' is no number of a jet"),
        (["tip-temperature", "hot"], "no temperature"),
        (["mixture", "--at", "100"], "--jetted-at"),
        (["mixture", "--jetted-at", "0", "--at", "9000"], "altitude"),
        (["mixture", "--jetted-at", "0", "--at", "100", "--humidity", "120"], "humidity"),
        (["mixture", "--jetted-at", "0", "--at", "100", "--fuel", "gas"], "not one of"),
        (["tightening", "--thread", "M14"], "--seat"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(run, arguments, words):
    status, out, err = run("reckon", *arguments)
    assert (status, out) == (2, "")
    assert err.startswith("error[usage]: ") and err.count("\n") == 1 and words in err


def test_frost_needs_no_equals_sign(run):
    place = ["mixture", "--jetted-at", "2000", "--at", "300"]
    apart, joined = run("reckon", *place, "--in", "-5C"), run("reckon", *place, "--in=-5C")
    assert apart == joined and apart[0] == 0 and "leaner" in apart[1]
    status, _, err = run("reckon", *place, "--in")
    assert status == 2 and "expected one argument" in err
