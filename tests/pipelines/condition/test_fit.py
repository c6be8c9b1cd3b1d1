"""What is fitted on plain rules finds them, holds what it promises, and is the same every time."""

import hashlib
import json

import numpy as np
import pytest

from pipelines.condition.__main__ import main
from pipelines.condition.figures import judged_rows
from pipelines.condition.fit import fit_model, known_of
from pipelines.condition.heat import SHOWN, SIGNS, heat_of
from pipelines.condition.regression import Settings, knots_of
from pipelines.condition.rows import write_table
from tests.pipelines.condition.made import made_table
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.features import ONCE
from tipvision.condition.judge import judgement
from tipvision.condition.model import load_model
from tipvision.teaching.writing import write_model

SETTINGS = Settings(strength=3.0, bent=0.3)


@pytest.fixture(scope="module")
def model():
    return fit_model(made_table(150), SETTINGS, "made", "1")[0]


def test_it_finds_the_rules_on_plugs_it_has_not_seen(model):
    judged = judged_rows(made_table(100, seed=9), model)
    assert (judged.answers == judged.table.label).mean() > 0.9
    inside = [t in j.possible for t, j in zip(judged.table.label, judged.judgements, strict=True)]
    assert np.mean(inside) > 0.9
    assert model.labels == CONDITIONS


def test_what_is_written_judges_as_what_was_fitted(model, tmp_path):
    write_model(tmp_path, model, "a test", [], {})
    stored, table = load_model(tmp_path), made_table(20, seed=5)
    for k in range(len(table)):
        ours, theirs = (judgement(table.features(k), m) for m in (model, stored))
        assert theirs.probabilities == pytest.approx(ours.probabilities, abs=1e-4)
        assert theirs.possible == ours.possible


def test_the_same_rows_give_the_same_arrays(model, tmp_path):
    again, _ = fit_model(made_table(150), SETTINGS, "made", "1")
    digests = set()
    for name, one in (("a", model), ("b", again)):
        write_model(tmp_path / name, one, "a test", [], {})
        digests.add(hashlib.sha256((tmp_path / name / "arrays.npz").read_bytes()).hexdigest())
    assert len(digests) == 1


def test_one_plug_in_a_hundred_is_called_unlike_any():
    table = made_table(300, seed=7)
    known = known_of(table, CONDITIONS)
    values = np.concatenate([table.under_light.mean(axis=1), table.once], axis=1)
    far = [known.distance(row) > known.farthest for row in values.astype(np.float64)]
    assert np.mean(far) == pytest.approx(0.01, abs=0.005)


def test_few_unheated_plugs_show_any_sign_of_heat():
    table = made_table(400, photos=1)
    places = [ONCE.index(name) for name in SIGNS]
    table.once[:, places] = np.random.default_rng(2).standard_normal((400, len(SIGNS)))
    above = np.array(list(heat_of(table).values()))
    any_sign = (table.once[:, places] > above).any(axis=1)
    cool = np.isin(table.label, ("normal", "unused"))
    most = int(SHOWN * cool.sum())
    assert most - len(SIGNS) < int(any_sign[cool].sum()) <= most  # plugs of one rank go together
    table.once[:, places[0]] = np.nan
    with pytest.raises(ValueError, match="no unheated plug"):
        heat_of(table)


def test_the_command_sets_the_heat_anew_and_nothing_else(model, tmp_path, capsys):
    write_model(tmp_path / "model", model, "a test", [{"rows": "first"}], {"kept": 1})
    table = made_table(100, seed=4)
    table.once[:, [ONCE.index(name) for name in SIGNS]] = 7.0
    write_table(tmp_path / "tune.npz", table)
    before = load_model(tmp_path / "model")
    run = ["heat", "--rows", str(tmp_path / "tune.npz"), "--model", str(tmp_path / "model")]
    assert main(run) == 0
    assert f"{SIGNS[0]}: above 7.00" in capsys.readouterr().out
    assert main(run) == 0  # once more changes nothing
    after = load_model(tmp_path / "model")
    assert after.heat == dict.fromkeys(SIGNS, 7.0)
    for k in range(20):
        ours, theirs = (judgement(table.features(k), m) for m in (before, after))
        assert theirs.probabilities == ours.probabilities
    manifest = json.loads((tmp_path / "model" / "manifest.json").read_text())
    assert manifest["made_by"] == "a test; heat --rows tune.npz"
    assert [given["rows"] for given in manifest["inputs"]] == ["first", "tune.npz"]
    assert manifest["metrics"] == {"kept": 1}


def test_too_few_plugs_of_a_condition_are_an_error():
    with pytest.raises(ValueError, match="too few"):
        fit_model(made_table(20), SETTINGS, "made", "1")


def test_knots_rise_where_all_values_are_alike():
    knots, usual = knots_of(np.array([[1.0, np.nan], [1.0, np.nan], [1.0, np.nan]]))
    assert (np.diff(knots) > 0).all()
    np.testing.assert_array_equal(usual, [1.0, 0.0])


def test_the_command_fits_prints_and_writes(tmp_path, capsys):
    for name, seed in (("train", 1), ("tune", 2)):
        write_table(tmp_path / f"{name}.npz", made_table(100, seed=seed))
    rows = ["--rows", str(tmp_path / "train.npz"), "--tune", str(tmp_path / "tune.npz")]
    assert main(["fit", *rows, "--strength", "3", "--out", str(tmp_path / "model")]) == 0
    fitted = capsys.readouterr().out
    assert (
        main(["evaluate", "--rows", str(tmp_path / "tune.npz"), "--model", str(tmp_path / "model")])
        == 0
    )
    told = capsys.readouterr().out
    for line in ("macro-F1 on answered", "unused called chalk white", "sets that hold the truth"):
        assert line in fitted
        assert line in told
