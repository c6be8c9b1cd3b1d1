"""The six photos that ship, read end to end and held against the truth they were rendered from.

The photos are rendered: this shows that the way holds together, not how the tool does in the field.
"""

import json

import cv2
import numpy as np
import pytest

from tipvision import Ask, Reading, read
from tipvision.light.said import Said
from tipvision.record.as_json import to_record
from tipvision.record.check import faults_of
from tipvision.shipped import demo_folder
from tipvision.tip.labels import mask_image
from tipvision.tip.tip import Part

MANIFEST = (demo_folder() / "manifest.jsonl").read_text("utf-8")
ROWS = [json.loads(line) for line in MANIFEST.splitlines()]
MASKS = {row["file"]: row["mask"] for row in ROWS}
NOTHING = {"condition": None, "shine": None}
TRUTH = {row["file"]: next(iter(row["plugs"]), NOTHING) for row in ROWS}
NOSE, NOSE_IN_GLARE, NOSE_DEEP = 1, 2, 3  # values of the demo's masks; deep is not scored
LEAST_OVERLAP = 0.85  # of nose found and true nose


@pytest.fixture(scope="module")
def readings() -> dict[str, Reading]:
    return {name: read(str(demo_folder() / name))[0] for name in TRUTH}


def test_they_show_every_condition_and_one_picture_without_a_plug():
    shown = sorted(str(row["condition"]) for row in TRUTH.values())
    assert shown == ["None", "chalk_white", "dry_black", "normal", "unused", "wet_black"]


@pytest.mark.parametrize("name", TRUTH)
def test_the_record_is_valid(readings, name):
    assert faults_of(to_record(readings[name])) == []


@pytest.mark.parametrize("name", TRUTH)
def test_no_answer_is_wrong(readings, name):
    """An answer may stay open; one that is given is the true one."""
    reading, truth = readings[name], TRUTH[name]["condition"]
    if truth is None:  # a tray of other parts: nothing is taken for a plug
        assert reading.tips == ()
        assert reading.outcome in ("not_a_plug", "unclear")
    if reading.condition is not None:
        assert truth in reading.condition.possible


@pytest.mark.parametrize("name", [name for name in TRUTH if TRUTH[name]["condition"]])
def test_the_true_condition_is_the_likeliest(readings, name):
    """Whether it stands alone is another matter: the light at the nose leaves most photos open."""
    assert readings[name].condition.label == TRUTH[name]["condition"]


@pytest.mark.parametrize("name", ["tb-07-a.jpg", "qd-03-a.jpg", "sx-01-left.jpg"])
def test_the_light_of_a_plug_on_the_bench_card_is_the_card_s(readings, name):
    assert readings[name].light.source == "bench_card"


def test_a_tan_plug_on_the_bench_card_is_read(readings):
    assert readings["tb-07-a.jpg"].outcome == "read"


@pytest.mark.parametrize("name", TRUTH)
def test_the_colour_of_a_matte_nose_is_within_its_own_doubt(readings, name):
    """Reflections on a wet nose are light too: its true colour is that of the film's ground."""
    reading = readings[name]
    if TRUTH[name]["shine"]:
        pytest.skip("the nose is wet")
    if reading.measurement is None or any(r.code == "clipped" for r in reading.reasons):
        pytest.skip("no colour was measured that the reading stands by")
    miss = np.abs(reading.measurement.lab - TRUTH[name]["nose_lab"])
    assert (miss < 3 * np.maximum(reading.measurement.sd, 1)).all()


@pytest.mark.parametrize("name", TRUTH)
def test_the_nose_lies_on_the_true_nose(readings, name):
    reading = readings[name]
    if not reading.tips:
        pytest.skip("no tip was found")
    truth = cv2.imread(str(demo_folder() / MASKS[name]), cv2.IMREAD_GRAYSCALE)
    labels = mask_image(reading.tips, reading.size)
    nose = np.isin(truth, [NOSE, NOSE_IN_GLARE])
    found = np.isin(labels, [Part.NOSE, Part.GLARE]) & (truth != NOSE_DEEP)
    assert (nose & found).sum() / (nose | found).sum() > LEAST_OVERLAP


def test_what_a_person_says_reaches_the_reading(readings):
    name = "stores-new.jpg"
    (named,) = read(str(demo_folder() / name), Ask(light=Said(declared="LED-B3")))
    assert named.light.source == "declared:LED-B3"
    assert readings[name].light.source == "estimate"


@pytest.mark.parametrize("number", [-1, 2, 99])
def test_a_plug_that_is_not_there_is_said_to_be_missing(number):
    (reading,) = read(str(demo_folder() / "tb-07-a.jpg"), Ask(plug=number))
    assert (reading.outcome, reading.plug) == ("unclear", (None, 1))
    assert f"no number {number}" in reading.reasons[0].text
    assert faults_of(to_record(reading)) == []
