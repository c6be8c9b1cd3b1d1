"""A fault of a knowledge file is one line that says where, what and what to do."""

from pathlib import Path

from tipvision.causes.fault import KnowledgeError, KnowledgeFile


def test_the_message_names_file_entry_fault_and_remedy() -> None:
    shipped = KnowledgeFile(Path("causes.toml"), "causes.toml")
    assert str(KnowledgeError(shipped, "choke_on", "`text` is missing")) == (
        "causes.toml, choke_on: `text` is missing. Correct the file or install tipvision again."
    )
    own = KnowledgeFile(Path("knowledge.toml"), "knowledge.toml", "Correct the file.")
    assert str(KnowledgeError(own, "mine", "is odd")).endswith("is odd. Correct the file.")
