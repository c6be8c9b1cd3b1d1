"""Each job's failures end in one line and a status, never in a traceback."""

import sys
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from pipelines.studio.__main__ import INTERRUPTED, main
from pipelines.studio.sets import claim, file_of
from pipelines.studio.truth import write_manifest
from tests.pipelines.studio.test_truth import EMPTY


@pytest.fixture
def manifest(tmp_path: Path) -> Path:
    """A set of one photo, which holds."""
    path = tmp_path / "set" / "manifest.jsonl"
    path.parent.mkdir()
    Image.new("RGB", (40, 30), (90, 90, 90)).save(path.parent / EMPTY.file)
    write_manifest(path, [replace(EMPTY, size=(40, 30), exif_orientation=1)])
    return path


def _said(*arguments: object) -> str:
    """What the command ends with, which is not 0."""
    with pytest.raises(SystemExit) as left:
        main([str(a) for a in arguments])
    said = left.value.code
    assert isinstance(said, str), said
    return said


def test_check_says_whether_a_set_holds(manifest: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(manifest)])
    assert capsys.readouterr().out == "1 photos, 0 with a plug: the manifest holds\n"
    (manifest.parent / EMPTY.file).unlink()
    fault, last = _said("check", manifest).splitlines()
    assert fault.startswith("b.jpg: ") and last.startswith("1 fault in 1 photos")
    manifest.unlink()
    assert f"{manifest}: No such file or directory." in _said("check", manifest)


@pytest.mark.parametrize("job", ["check", "leaks", "sample", "sheet"])
@pytest.mark.parametrize("held", [b"\xff\xd8\xff\0", b""])
def test_a_file_that_is_no_manifest_is_named(tmp_path: Path, job: str, held: bytes) -> None:
    path = tmp_path / "manifest.jsonl"
    path.write_bytes(held)
    out = {"sample": ["--out", tmp_path / "o"], "sheet": ["--out", tmp_path / "o.jpg"]}
    said = _said(job, path, *out.get(job, []))
    assert "manifest.jsonl" in said and "\n" not in said and said.endswith(".")


def test_a_broken_render_is_named(tmp_path: Path) -> None:
    claim(tmp_path, "train", 4, 4)
    file_of(tmp_path, 3).write_bytes(b"garbage")
    said = _said("develop", tmp_path, "--out", tmp_path / "photos")
    assert "0000003.npz is damaged or no stored render. Delete it" in said and "\n" not in said


def test_a_path_in_the_way_is_named(manifest: Path, tmp_path: Path) -> None:
    out = tmp_path / "no folder" / "sheet.jpg"
    assert f"{out}: No such file" in _said("sheet", manifest, "--out", out)
    said = _said("render", "--look", "train", "--count", 1, "--out", manifest)
    assert f"{manifest}: File exists. Mend that or name another path." == said


def test_a_full_disk_is_told_with_the_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pipelines.studio.sets.render_set", full)
    said = _said("render", "--look", "train", "--count", 1, "--out", tmp_path)
    assert said == f"{tmp_path}: No space left on device. Mend that or name another path."


def test_a_missing_library_is_told_with_its_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pipelines.studio.physics", None)
    assert "pip install '.[studio]'" in _said("physics")


def test_an_interrupt_has_its_own_status(
    manifest: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(_: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("pipelines.studio.set_check.check_set", interrupted)
    with pytest.raises(SystemExit) as left:
        main(["check", str(manifest)])
    assert left.value.code == INTERRUPTED
    assert "same command" in capsys.readouterr().err
