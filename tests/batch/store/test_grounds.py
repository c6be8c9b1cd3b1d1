"""What decides a reading, and what of it differs."""

from tipvision.batch.store.grounds import WORDS, differing, grounds_of
from tipvision.causes.explanation import Engine
from tipvision.condition.model import default_model
from tipvision.home import VARIABLE
from tipvision.light.said import Said
from tipvision.reading import Ask
from tipvision.teaching import store
from tipvision.teaching.writing import write_model

PLAIN = Ask()


def test_the_same_question_has_the_same_grounds():
    assert grounds_of(Ask(), store.SHIPPED) == grounds_of(PLAIN, store.SHIPPED)
    assert set(grounds_of(PLAIN, store.SHIPPED)) == set(WORDS)


def test_each_part_tells_what_it_is_for(tmp_path, monkeypatch):
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    usual = grounds_of(PLAIN, store.SHIPPED)
    metrics = {"faults": [], "plugs": {}}
    store.keep("mine", lambda out: write_model(out, default_model(), "a test", [], metrics))
    changed = {
        "light": grounds_of(Ask(light=Said(declared="A")), store.SHIPPED),
        "engine": grounds_of(Ask(facts={"choke": "stuck"}), store.SHIPPED),
        "model": grounds_of(PLAIN, "mine"),
    }
    (tmp_path / "knowledge.toml").write_text('source_of_numbers = "our estimate"')
    changed["knowledge"] = grounds_of(PLAIN, store.SHIPPED)
    for part, grounds in changed.items():
        assert differing(usual, grounds) == part
        assert sum(usual[key] != grounds[key] for key in WORDS) == 1
    assert grounds_of(Ask(engine=Engine(stroke="two")), store.SHIPPED)["engine"] != usual["engine"]
