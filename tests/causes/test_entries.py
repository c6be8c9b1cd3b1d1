"""The closed list of sources, and files that are no knowledge files at all."""

from pathlib import Path

import pytest

from tipvision.causes.entries import KnowledgeError, is_source, read_entries


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
    ],
)
def test_a_file_of_another_shape_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "causes.toml").write_bytes(content)
    with pytest.raises(KnowledgeError, match=r"causes\.toml"):
        read_entries(tmp_path, "causes.toml", "cause")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match=r"causes\.toml.*cannot be read"):
        read_entries(tmp_path, "causes.toml", "cause")


def test_numbers_need_a_source(tmp_path: Path) -> None:
    (tmp_path / "causes.toml").write_text('[[cause]]\nid = "a"\n')
    with pytest.raises(KnowledgeError, match="source_of_likelihoods"):
        read_entries(tmp_path, "causes.toml", "cause", "source_of_likelihoods")
