"""`tipvision train` and `tipvision models` from a folder of photos to a model that serves."""

import json
import re
import shutil
from pathlib import Path

import pytest

from pipelines.bench.model_faults import drawn_rows, serve
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.model import default_model
from tipvision.teaching import course, store
from tipvision.teaching.rows import LeftOut

SAMPLE = Path(__file__).resolve().parents[2] / "synthetic_images" / "sample"


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("TIPVISION_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def shop(tmp_path):
    """25 photos of 25 plugs, labelled by their folders."""
    lines = [json.loads(line) for line in (SAMPLE / "manifest.jsonl").read_text().splitlines()]
    for name in CONDITIONS:
        folder = tmp_path / "shop" / name
        folder.mkdir(parents=True)
        own = [one for one in lines if [p["condition"] for p in one["plugs"]] == [name]]
        for one in own[:5]:
            shutil.copy(SAMPLE / one["file"], folder)
    return tmp_path / "shop"


@pytest.fixture
def drawn(monkeypatch):
    """Photos need not be measured: their features are drawn, and one photo is left out."""

    def rows(photos, *_):
        left_out = LeftOut(photos[-1].path, "blurred", "Blurred. Again.")
        return drawn_rows(default_model(), 25, 1), (left_out,)

    monkeypatch.setattr(course, "measured", rows)


@pytest.mark.usefixtures("drawn")
def test_a_folder_becomes_a_model_that_may_be_tried(run, shop, home):
    status, out, err = run("train", shop)
    assert status == 0
    assert "photos that can be learnt from: 25" in out
    assert "It may be tried (tipvision read --model shop-1), not promoted:" in out
    assert "plugs are missing, 20 of each condition are needed: normal 15, dry_black 15" in out
    assert "left out. Blurred. Again." in err
    folder = home / "models" / "shop-1"
    assert {path.name for path in folder.iterdir()} >= {"manifest.json", "card.md", "card.html"}
    card = (folder / "card.md").read_text()
    assert "blurred 1" in card
    assert "Known failures" in card
    for table in re.findall(r"(?:^\|.*\n)+", card, re.MULTILINE):
        assert len({line.count("|") for line in table.splitlines()}) == 1, table
    page = (folder / "card.html").read_text()
    assert "<svg" in page and "<script" not in page and "http" not in page.split("<body>")[1]
    assert not re.search(r"\{[{%]", card + page)
    status, out, err = run("models", "list")
    assert "in use shipped" in out and "shop-1" in out and "may be tried only" in out
    status, out, err = run("models", "promote", "shop-1")
    assert status == 2 and "has not earned its place" in err
    status, out, err = run("models", "compare", "shop-1")
    assert status == 0 and "macro-F1" in out and "not promoted: plugs are missing" in out


def test_faults_stop_it_before_anything_is_measured(run, shop, monkeypatch):
    monkeypatch.setattr(course, "measured", None)
    shutil.copytree(shop / "normal", shop / "oily")
    next((shop / "unused").iterdir()).unlink()
    status, _, err = run("train", shop)
    assert status == 2
    assert "sub-folder oily: not a condition" in err
    assert ": unused 4. Add photos" in err
    assert err.splitlines()[-1] == "Nothing was trained."
    assert store.names() == ()


@pytest.mark.usefixtures("drawn")
def test_a_check_trains_nothing_and_says_what_is_missing(run, shop):
    status, out, _ = run("train", shop, "--check")
    assert status == 0
    assert "20 of each condition are needed: normal 15, dry_black 15" in out
    assert store.names() == ()


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        (["gone"], "is no folder"),
        ([".", "--labels", "gone.csv"], "gone.csv: No such file"),
        ([".", "--name", "../x"], "cannot name a model"),
        ([".", "--plug-names", "*"], "where the plug stands"),
        ([".", "--stored-light", "none"], "No stored light"),
        ([".", "--light", "moon"], "moon"),
    ],
)
def test_wrong_usage_is_one_line(run, arguments, fault):
    status, _, err = run("train", *arguments)
    assert status == 2
    assert fault in err
    assert len(err.splitlines()) == 1


def test_read_uses_the_promoted_model_or_the_one_asked_for(run, demo):
    photo = demo["tb-07-a"]
    serve("shop-1", store.in_use())
    status, _, _ = run("read", "--json", photo)
    assert status == 0
    folder = store.models_of_shop() / "shop-1"
    with (folder / "arrays.npz").open("ab") as file:
        file.write(b"x")
    status, out, err = run("read", "--json", photo)
    assert (status, out) == (1, "")
    assert "revert --shipped" in err and len(err.splitlines()) == 1
    status, out, err = run("models", "list")
    assert status == 1 and "error[model]: shop-1" in err
    assert run("read", "--json", "--model", "shipped", photo)[0] == 0
    status, _, err = run("read", "--model", "none", photo)
    assert status == 2 and 'No model is called "none"' in err
    status, _, err = run("models", "revert", "--shipped")
    assert status == 0 and "in use: shipped" in err
    assert run("read", "--json", photo)[0] == 0


@pytest.mark.parametrize(("action", "words"), [("compare", "your own"), ("promote", "--shipped")])
def test_the_shipped_model_is_no_model_of_the_shop(run, action, words):
    status, out, err = run("models", action, "shipped")
    assert (status, out, err.count("\n")) == (2, "", 1) and words in err


def test_promote_and_revert_say_what_is_in_use(run):
    serve("one", store.in_use())
    assert "in use: shipped" in run("models", "revert")[2]
    status, _, err = run("models", "promote", "one")
    assert status == 0 and "in use: one" in err
    assert "in use already" in run("models", "promote", "one")[2]
    assert "in use one" in run("models", "list")[1]
