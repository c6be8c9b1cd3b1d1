"""Folders of photos that tell the stand-in what to do."""

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from tipvision.batch.sources.listing import Asked

Made = Callable[[Mapping[str, str]], Asked]


@pytest.fixture
def made(tmp_path) -> Made:
    """A folder of files with these contents, asked for as a batch."""

    def make(contents: Mapping[str, str]) -> Asked:
        folder = tmp_path / "photos"
        for name, content in contents.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(content)
        return Asked((str(folder),), out=tmp_path / "out")

    return make


@pytest.fixture
def log(tmp_path) -> Path:
    """Where the stand-in writes what it reads."""
    return tmp_path / "log"
