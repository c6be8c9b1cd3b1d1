"""The closed list of sources, and files that are no knowledge files at all."""

from pathlib import Path

import pytest

from tipvision.causes.entries import Entry, is_source, read_entries
from tipvision.causes.fault import KnowledgeError, KnowledgeFile

USUAL = {"choke": {"free": 0.9, "stuck": 0.1}, "smoke": {"none": 0.8, "steady": 0.15, "late": 0.05}}


@pytest.mark.parametrize(
    "text",
    [
        "common practice, no published source",
        "from memory, unchecked",
        "our estimate",
        "published: a paper, its year and page",
        "reference library: a library and its version",
        "measured: a command",
    ],
)
def test_sources_of_the_closed_list_are_accepted(text: str) -> None:
    assert is_source(text)


@pytest.mark.parametrize("text", ["", "published: ", "published:", "hearsay", "Our estimate", None])
def test_other_sources_are_not(text: object) -> None:
    assert not is_source(text)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[[cause]\n",
        b"\xff\xfe",
        b"cause = 3\n",
        b"cause = []\n",
        b'stray = 1\n[[cause]]\nid = "a"\n',
        b"cause = [1]\n",
        b"[[cause]]\nid = 3\n",
        b'[[cause]]\nid = "a"\n[[cause]]\nid = "a"\n',
    ],
)
def test_a_file_of_another_shape_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "causes.toml").write_bytes(content)
    with pytest.raises(KnowledgeError, match=r"causes\.toml") as caught:
        read_entries(_file(tmp_path), ["cause"], [])
    assert "\n" not in str(caught.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match=r"causes\.toml.*cannot be read"):
        read_entries(_file(tmp_path), ["cause"], [])


def test_numbers_need_a_source(tmp_path: Path) -> None:
    (tmp_path / "causes.toml").write_text('[[cause]]\nid = "a"\n')
    assert set(read_entries(_file(tmp_path), ["cause"], [])["cause"]) == {"a"}
    with pytest.raises(KnowledgeError, match="source_of_numbers"):
        read_entries(_file(tmp_path), ["cause"], ["cause"])


def test_shares_that_are_left_out_are_spread_as_is_usual() -> None:
    entry = _entry(facts={"choke": {"stuck": 1.0}, "smoke": {"none": 0.2}})
    # By hand: 0.8 left for steady and late, which usually stand as 15 to 5.
    assert entry.filled_shares("facts", USUAL, "fact") == {
        "choke": {"free": 0.0, "stuck": 1.0},
        "smoke": {"none": 0.2, "steady": pytest.approx(0.6), "late": pytest.approx(0.2)},
    }


@pytest.mark.parametrize(
    "facts",
    [
        {"horn": {"loud": 0.5}},
        {"choke": {"bent": 0.5}},
        {"choke": {"stuck": 0.8, "free": 0.1}},
        {"choke": {"stuck": 0.8, "free": 0.3}},
        {"choke": {"stuck": 1.2}},
        {"choke": {"stuck": -0.1}},
        {"choke": {"stuck": "often"}},
        {"choke": {}},
        {"choke": 0.5},
        [0.5],
    ],
)
def test_shares_that_cannot_be_are_refused(facts: object) -> None:
    with pytest.raises(KnowledgeError, match="facts"):
        _entry(facts=facts).filled_shares("facts", USUAL, "fact")


@pytest.mark.parametrize(
    "usual", [None, {}, {"yes": 1.0}, {"yes": 0.5, "no": 0.4}, {"yes": 1.0, "no": 0.0}]
)
def test_usual_shares_are_all_there_can_be(usual: object) -> None:
    with pytest.raises(KnowledgeError, match="usual"):
        (_entry() if usual is None else _entry(usual=usual)).all_shares("usual")


def _file(folder: Path) -> KnowledgeFile:
    return KnowledgeFile(folder / "causes.toml", "causes.toml")


def _entry(**fields: object) -> Entry:
    return Entry(_file(Path("nowhere")), 1, {"id": "a", **fields})
