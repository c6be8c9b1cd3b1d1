"""A shop's own state lies where its platform keeps such things, or where it says."""

from pathlib import Path

import pytest

from tipvision.home import home


def test_the_variable_wins(monkeypatch, tmp_path) -> None:
    monkeypatch.setenv("TIPVISION_HOME", str(tmp_path))
    assert home() == tmp_path
    monkeypatch.setenv("TIPVISION_HOME", "~/shop")
    assert home() == Path.home() / "shop"


@pytest.mark.parametrize(
    ("platform", "variable", "tail"),
    [
        ("linux", "XDG_DATA_HOME", ".local/share/tipvision"),
        ("win32", "LOCALAPPDATA", "AppData/Local/tipvision"),
        ("darwin", None, "Library/Application Support/tipvision"),
    ],
)
def test_else_the_platforms_folder(monkeypatch, tmp_path, platform, variable, tail) -> None:
    monkeypatch.setattr("sys.platform", platform)
    for name in ("TIPVISION_HOME", "XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    assert home() == Path.home() / tail
    if variable is not None:
        monkeypatch.setenv(variable, str(tmp_path))
        assert home() == tmp_path / "tipvision"
