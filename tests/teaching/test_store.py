"""A model serves whole or not at all, whatever happens to its files."""

import json
import os

import numpy as np
import pytest

from pipelines.bench.model_faults import changes, kills, serve
from tipvision.condition.model import default_model
from tipvision.sealed import ModelFault
from tipvision.teaching import store
from tipvision.teaching.store import StoreError
from tipvision.teaching.writing import write_model


def keep(name, **metrics):
    rival = {"name": store.SHIPPED, "sha256": ""}
    told = {"faults": [], "compared_with": rival, **metrics}
    return store.keep(name, lambda out: write_model(out, default_model(), "a test", [], told))


def test_the_shipped_model_serves_where_none_was_promoted():
    assert store.in_use() == store.InUse()
    assert store.model_in_use() is default_model()
    assert store.names() == ()
    assert store.next_name() == "shop-1"


def test_promote_and_revert_go_there_and_back():
    serve("one", store.in_use())
    serve("two", store.in_use())
    assert store.in_use().name == "two"
    assert [name for name, _ in store.in_use().before] == ["shipped", "one"]
    assert store.model_in_use() is not default_model()
    assert store.revert().name == "one"
    assert store.revert().name == "shipped"
    with pytest.raises(StoreError, match="No other model"):
        store.revert()


def test_revert_to_shipped_works_though_everything_else_is_broken(home):
    serve("one", store.in_use())
    (home / "models" / "in_use.json").write_text("{")
    with pytest.raises(ModelFault, match="revert --shipped"):
        store.model_in_use()
    assert store.revert(shipped=True).name == "shipped"
    assert store.model_in_use() is default_model()


def test_a_model_that_has_not_earned_it_is_not_promoted():
    keep("poor", faults=["normal: 3 plugs are missing (20 are needed)."])
    with pytest.raises(StoreError, match="has not earned its place: normal: 3 plugs"):
        store.promote("poor")
    assert store.in_use().name == "shipped"


def test_a_model_held_against_another_than_the_one_in_use_is_not_promoted():
    keep("late")
    serve("one", store.in_use())
    with pytest.raises(StoreError, match='"one" is in use now'):
        store.promote("late")


@pytest.mark.parametrize("name", ["../up", "Big", "shipped", "", "a" * 41, ".part-x"])
def test_names_that_a_system_cannot_bear_are_refused(name):
    with pytest.raises(StoreError):
        store.checked_name(name)


def test_a_name_is_taken_once_and_a_failed_making_leaves_nothing(home):
    keep("one")
    with pytest.raises(StoreError, match="there already"):
        keep("one")

    def fail(out):
        (out / "half").touch()
        raise OSError("the disk is full")

    with pytest.raises(OSError, match="full"):
        store.keep("two", fail)
    assert [path.name for path in (home / "models").iterdir()] == ["one"]


def test_what_a_killed_training_left_is_cleared_a_day_later(home):
    (home / "models" / ".part-old").mkdir(parents=True)
    (home / "models" / ".part-new").mkdir()
    os.utime(home / "models" / ".part-old", (0, 0))
    keep("one")
    assert {path.name for path in (home / "models").iterdir()} == {"one", ".part-new"}


def test_a_pointer_to_a_changed_or_missing_model_says_how_to_go_back(home):
    serve("one", store.in_use())
    manifest = home / "models" / "one" / "manifest.json"
    body = json.loads(manifest.read_text())
    manifest.write_text(json.dumps(body))  # the same words, written otherwise
    with pytest.raises(ModelFault, match=r'"one", is refused: .*changed.*revert --shipped'):
        store.model_in_use()
    manifest.unlink()
    with pytest.raises(ModelFault, match=r'"one", is refused: .*not there.*revert --shipped'):
        store.model_in_use()


def test_a_manifest_that_was_edited_cannot_earn_a_promotion(home):
    keep("poor", faults=["worse"])
    manifest = home / "models" / "poor" / "manifest.json"
    body = json.loads(manifest.read_text())
    body["metrics"]["faults"] = []
    manifest.write_text(json.dumps(body, indent=2) + "\n")
    with pytest.raises(ModelFault, match="changed"):
        store.promote("poor")


@pytest.mark.parametrize("name", ["../../elsewhere", "/etc", "a/b"])
def test_a_pointer_out_of_the_folder_is_refused(home, name):
    (home / "models").mkdir(parents=True)
    body = {"format": 1, "model": name, "sha256": "", "before": []}
    (home / "models" / "in_use.json").write_text(json.dumps(body))
    with pytest.raises(ModelFault, match="does not say which model serves"):
        store.model_in_use()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills processes that it forks")
def test_a_kill_at_any_moment_leaves_a_whole_model():
    assert kills(6, np.random.default_rng(0), longest=0.8) == []


def test_a_changed_file_is_refused():
    assert changes(6, np.random.default_rng(0)) == []
