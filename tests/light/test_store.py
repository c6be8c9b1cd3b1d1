"""Stored lights come back as they were kept, or not at all."""

import json
from dataclasses import replace

import numpy as np
import pytest

from tipvision.light.store import (
    StoreError,
    drop,
    keep,
    lights_folder,
    load,
    origin_of,
    stored_names,
)

ORIGIN = {"photo": "chart.jpg", "sha256": "0" * 64, "edition": "after_2014_11"}


@pytest.fixture(autouse=True)
def home(monkeypatch, tmp_path):
    monkeypatch.setenv("TIPVISION_HOME", str(tmp_path / "home"))


def forged(change) -> None:
    """Change the content of the kept light and seal it again, as a forger would."""
    from tipvision.light.store import _digest

    (path,) = lights_folder().iterdir()
    body = json.loads(path.read_text())["light"]
    change(body)
    path.write_text(json.dumps({"sha256": _digest(body), "light": body}))


def test_what_is_kept_comes_back(stored) -> None:
    path = keep(stored, ORIGIN)
    assert path.parent == lights_folder()
    for name in ("bench", "BENCH"):
        back = load(name)
        assert (back.name, back.verdict, back.residual) == ("bench", "good", stored.residual)
        assert np.array_equal(back.correction.matrix, stored.correction.matrix)
        assert np.array_equal(back.samples.matrix, stored.samples.matrix)
        assert np.array_equal(back.samples.tone, stored.samples.tone)
        assert back.samples.degree == stored.samples.degree
        now, then = back.taken_with, stored.taken_with
        assert replace(now, cast=then.cast) == then
        assert np.array_equal(now.cast, then.cast)
    assert origin_of("bench") == ORIGIN
    assert [p.name for p in path.parent.iterdir()] == [path.name]  # nothing half written is left


def test_keeping_again_replaces(stored) -> None:
    keep(stored, ORIGIN)
    keep(replace(stored, residual=0.5), ORIGIN)
    assert stored_names() == ("bench",)
    assert load("bench").residual == 0.5


def test_the_list_and_dropping(stored) -> None:
    assert stored_names() == ()
    for name in ("window", "bench"):
        keep(replace(stored, name=name), ORIGIN)
    assert stored_names() == ("bench", "window")
    drop("bench")
    assert stored_names() == ("window",)
    with pytest.raises(StoreError, match="Stored are: window"):
        load("bench")


def test_none_stored_says_how_to_keep_one() -> None:
    with pytest.raises(StoreError, match="tipvision light keep"):
        load("bench")


@pytest.mark.parametrize("name", ["", "../x", "a/b", "a b", ".hidden", "ä", "x" * 41, "a\n", "-x"])
def test_a_name_that_is_no_file_name_is_refused(stored, name) -> None:
    for action in (lambda: keep(replace(stored, name=name), ORIGIN), lambda: load(name)):
        with pytest.raises(StoreError, match="cannot name a light"):
            action()
    assert not lights_folder().exists()


@pytest.mark.parametrize(("before", "after"), [('"degree": 2', '"degree": 1'), ("good", "bad")])
def test_a_changed_file_is_refused(stored, before, after) -> None:
    path = keep(stored, ORIGIN)
    text = path.read_text()
    assert before in text
    path.write_text(text.replace(before, after))
    with pytest.raises(StoreError, match="was changed"):
        load("bench")


@pytest.mark.parametrize("content", [b"", b"{}", b"[1]", b"\x80\x04pickle", b"[" * 100_000])
def test_a_damaged_file_is_refused_in_one_line(stored, content) -> None:
    keep(stored, ORIGIN).write_bytes(content)
    with pytest.raises(StoreError, match="Keep it again") as told:
        load("bench")
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    "change",
    [
        lambda body: body.update(format=99),
        lambda body: body.pop("samples"),
        lambda body: body["samples"].update(matrix=[[1.0]]),
        lambda body: body["samples"].update(matrix=body["samples"]["matrix"][:5]),
        lambda body: body["correction"]["matrix"][0].__setitem__(0, float("nan")),
        lambda body: body["correction"].update(degree=7),
        lambda body: body["taken_with"].update(cast=[1.0]),
        lambda body: body["taken_with"].update(exposure=-1.0),
        lambda body: body.update(name="../../x"),
        lambda body: body.update(taken_with=None),
    ],
)
def test_a_sealed_forgery_is_refused(stored, change) -> None:
    keep(stored, ORIGIN)
    forged(change)
    with pytest.raises(StoreError):
        load("bench")


def test_no_place_and_no_serial_number_is_kept(stored) -> None:
    body = json.loads(keep(stored, ORIGIN).read_text())["light"]
    assert set(body["taken_with"]) == {
        "maker",
        "model",
        "exposure",
        "white_balance",
        "flash_fired",
        "cast",
    }
