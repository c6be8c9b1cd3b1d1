"""What is wrong with a knowledge file."""

from dataclasses import dataclass
from importlib.resources.abc import Traversable


@dataclass(frozen=True)
class KnowledgeFile:
    """What holds the text of entries, what to call it, and what to do if it is wrong."""

    path: Traversable
    name: str
    remedy: str = "Correct the file or install tipvision again."


class KnowledgeError(Exception):
    """A knowledge file is wrong; the message is one line: file, entry, fault and remedy."""

    def __init__(self, file: KnowledgeFile, entry: str, fault: str) -> None:
        super().__init__(f"{file.name}, {entry}: {fault}. {file.remedy}")
