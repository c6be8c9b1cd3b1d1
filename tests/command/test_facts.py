"""What is told with --fact reaches the causes, and what cannot be is one clear line."""

import json

import pytest

from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.shop import FILE
from tipvision.home import VARIABLE


def test_every_fact_is_listed_with_its_results(run):
    status, out, err = run("facts")
    assert (status, err) == (0, "")
    for fact in shipped_knowledge().facts.values():
        assert f"{fact.id}={'|'.join(fact.usual)}" in out
        assert fact.text in out


def test_a_fact_moves_the_causes_and_nothing_that_the_photo_says(run, demo):
    by_result = {}
    for result in ("stuck", "free"):
        _, out, _ = run("read", "--json", demo["tb-07-a"], "--fact", f"choke={result}")
        by_result[result] = json.loads(out)
    stuck, free = by_result["stuck"], by_result["free"]
    assert stuck["causes"] != free["causes"]
    assert "choke_on" not in [cause["id"] for cause in free["causes"]]
    for key in ("probabilities", "findings", "colour", "verdict"):
        assert stuck[key] == free[key]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--fact", "choke"], ["NAME=RESULT"]),
        (["--fact", "horn=loud"], ["horn", "compression_dry"]),
        (["--fact", "gap=huge"], ["gap", "as_manual"]),
        (["--fact", "gap=wide", "--fact", "gap=narrow"], ["wide", "narrow"]),
        (["--stroke", "four", "--fact", "premix=as_manual"], ["premix", "two"]),
    ],
)
def test_a_fact_that_cannot_be_is_wrong_usage(run, demo, options, words):
    status, out, err = run("read", "--json", demo["tb-07-a"], *options)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    for word in words:
        assert word in err


@pytest.mark.parametrize("command", ["read", "facts"])
def test_a_wrong_file_of_the_shop_is_one_clear_line(run, demo, tmp_path, monkeypatch, command):
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    (tmp_path / FILE).write_text("[[cause]]\nid = 'mine'\n")
    status, out, err = run(command, *([demo["tb-07-a"]] if command == "read" else []))
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert err.startswith("error[knowledge]: ")
    assert FILE in err


def test_a_report_says_what_was_told(run, demo, tmp_path):
    told = ["--stroke", "two", "--fact", "spark_test=weak"]
    status, *_ = run("read", demo["qd-03-a"], *told, "--report", tmp_path)
    page = (tmp_path / "qd-03-a.html").read_text("utf-8")
    assert status == 0
    assert "two-stroke" in page and "spark test weak" in page
