"""What a listing comes to, and what it passes over with a word."""

import io
import os
import sys
from dataclasses import replace
from pathlib import Path

import fsspec
import pytest

from tests.batch.running import run
from tipvision.batch.sources.belonging import belonging, compiled
from tipvision.batch.sources.feed import Feed
from tipvision.batch.sources.found import Found, ListingFault, PassedOver, StorageFault
from tipvision.batch.sources.listing import Asked, listed


@pytest.fixture
def shop(tmp_path) -> Path:
    """A folder with all kinds of things in it."""
    folder = tmp_path / "shop"
    names = (
        *("a.jpg", "B.JPEG", "notes.txt", "film.mp4", "noending", ".hidden.jpg"),
        *("TB-07/cyl2.png", "TB-07/2026/c.heic", ".cache/d.jpg", "out/e.jpg", "old-run/f.jpg"),
    )
    for name in (*names, "old-run/batch.sqlite"):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(name)
    (folder / "folder.jpg").mkdir()
    (folder / "round").symlink_to(folder)
    (folder / "linked.jpg").symlink_to(folder / "a.jpg")
    (folder / "nowhere.jpg").symlink_to("nowhere.jpg")
    return folder


def names(asked: Asked, passed: PassedOver | None = None) -> list[str]:
    return sorted(found.name for found in listed(asked, passed or PassedOver()))


def test_a_folder_is_walked_and_what_is_passed_over_is_counted(shop):
    passed = PassedOver()
    asked = Asked((str(shop),), out=shop / "out")
    assert names(asked, passed) == [
        *("B.JPEG", "TB-07/2026/c.heic", "TB-07/cyl2.png", "a.jpg", "linked.jpg", "nowhere.jpg")
    ]
    seen = {".txt": 1, ".mp4": 1, "no ending": 1, "link to a folder": 1, "folder of a batch": 1}
    assert passed.files == seen
    own = PassedOver()
    names(replace(asked, out=shop / "old-run"), own)
    assert "folder of a batch" not in own.files
    found = {one.name: one for one in listed(asked, passed)}
    assert (found["TB-07/cyl2.png"].machine, found["TB-07/cyl2.png"].cylinder) == ("TB-07", 2)
    assert found["TB-07/2026/c.heic"].machine == "TB-07"
    assert found["a.jpg"].size == 5
    assert found["nowhere.jpg"].stamp is None


def test_a_folder_without_rights_is_told(shop, monkeypatch):
    real = os.scandir

    def scandir(path):
        if str(path).endswith("TB-07"):
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    passed = PassedOver()
    assert "a.jpg" in names(Asked((str(shop),)), passed)
    assert passed.folders == [f"{shop}/TB-07: Permission denied"]


def test_globs_photos_and_several_folders_keep_their_paths(shop, monkeypatch):
    monkeypatch.chdir(shop)
    assert names(Asked(("*.jpg",))) == ["a.jpg", "linked.jpg", "nowhere.jpg"]
    assert names(Asked(("TB-07/*.png", "notes.txt"))) == ["TB-07/cyl2.png", "notes.txt"]
    assert names(Asked(("TB-07", "a.jpg"))) == ["TB-07/2026/c.heic", "TB-07/cyl2.png", "a.jpg"]


def test_a_list_file_keeps_its_order_and_takes_any_name(monkeypatch, tmp_path):
    listing = tmp_path / "names"
    listing.write_bytes(b"\xef\xbb\xbfb.jpg\r\n\n a .jpg\n\xff.jpg\n")
    found = list(listed(Asked(lists=(str(listing),)), PassedOver()))
    assert [one.name for one in found] == ["b.jpg", " a .jpg", os.fsdecode(b"\xff.jpg")]
    assert [one.place for one in found] == [0, 1, 2]
    piped = io.TextIOWrapper(io.BytesIO(b"x.jpg\ny.jpg"))
    monkeypatch.setattr(sys, "stdin", piped)
    assert names(Asked(lists=("-",))) == ["x.jpg", "y.jpg"]


def test_neither_the_batchs_own_folder_nor_a_photo_in_place_of_a_list_is_read(tmp_path):
    (tmp_path / "a.jpg").write_bytes(b"\xff\xd8\0\n")
    with pytest.raises(ListingFault, match="another one with --out"):
        names(Asked((str(tmp_path),), out=tmp_path))
    with pytest.raises(ListingFault, match="another one with --out"):
        names(Asked((f"file://{tmp_path}",), out=tmp_path))
    with pytest.raises(ListingFault, match=r"a.jpg is no list"):
        names(Asked(lists=(str(tmp_path / "a.jpg"),)))


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("nowhere", "nowhere is not there"),
        ("nothing-*.jpg", "No photo matches"),
        ("may-readings", "folder of a batch, which is never read"),
        ("file:///nowhere/at/all", "/nowhere/at/all is not there"),
        ("never://x/y", "Protocol not known"),
        ("memory://nowhere", "is not there"),
        ("memory://nothing-*.jpg", "No photo matches"),
        ("zip://*.jpg::photos.zip", "storage within storage"),
    ],
)
def test_what_is_not_there_is_one_clear_line(source, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "may-readings").mkdir()
    (tmp_path / "may-readings" / "batch.sqlite").touch()
    with pytest.raises(ListingFault, match=words) as fault:
        names(Asked((source,)))
    assert "\n" not in str(fault.value)


def test_storage_whose_package_is_missing_says_which():
    fsspec.register_implementation(
        "lacking", "no_such_package.Storage", errtxt="Install no_such_package for it"
    )
    with pytest.raises(ListingFault, match="needs another package: Install no_such_package"):
        names(Asked(("lacking://photos",)))


@pytest.fixture
def storage():
    """Shared storage in this process's memory, with three photos."""
    memory = fsspec.filesystem("memory")
    for name in ("a.jpg", "TB-07/b-cyl1.jpg", "TB-07/c.jpg", "notes.txt", ".d/e.jpg"):
        memory.pipe(f"/bucket/{name}", name.encode())
    yield memory
    memory.rm("/bucket", recursive=True)


def test_shared_storage_is_read_like_a_folder(storage, tmp_path):
    asked = Asked(("memory://bucket",), out=tmp_path / "out")
    passed = PassedOver()
    assert names(asked, passed) == ["TB-07/b-cyl1.jpg", "TB-07/c.jpg", "a.jpg"]
    assert passed.files == {".txt": 1}
    assert names(Asked(("memory://bucket/*.jpg",))) == ["memory://bucket/a.jpg"]
    ran = run(asked)
    assert [e.state for e in ran.entries] == ["unclear"] * 3
    storage.pipe("/bucket/a.jpg", b"written anew")
    again = run(asked)
    assert again.summary["run"]["read_again"] == {"changed": 1}
    assert ran.entries[0] == again.entries[0]


def test_a_local_url_is_the_folder_itself(shop):
    asked = Asked((f"file://{shop}",), out=shop / "out")
    assert names(asked) == names(Asked((str(shop),), out=shop / "out"))


def test_a_shops_own_pattern_tells_machine_and_cylinder():
    pattern = compiled(r"(?P<machine>[a-z]{2}-\d+)-(?P<cylinder>\d)")
    assert belonging("2026/sx-01-2.jpg", "2026/sx-01-2.jpg", pattern) == ("sx-01", 2)
    assert belonging("2026/else.jpg", "2026/else.jpg", pattern) == (None, None)
    alone = compiled(r"no(?P<cylinder>\d)")
    assert belonging("TB-07/no3.jpg", "TB-07/no3.jpg", alone) == ("TB-07", 3)
    for wrong in ("(", "[a-z]+"):
        with pytest.raises(ValueError, match="--pattern"):
            compiled(wrong)


def test_a_listing_waits_for_whoever_takes_it_and_passes_its_errors_on():
    def endless():
        k = 0
        while True:
            k += 1
            yield Found(str(k), 0, "", 1, "1")

    with Feed(endless()) as feed:
        taken = []
        while len(taken) < 5000:
            taken += feed.handful()
    assert [one.name for one in taken[:3]] == ["1", "2", "3"]
    feed._thread.join(5)
    assert not feed._thread.is_alive()

    def broken():
        yield Found("a", 0, "", 1, "1")
        raise ListingFault("gone")

    with Feed(broken()) as feed, pytest.raises(ListingFault):
        while not feed.ended:
            feed.handful()


def test_storage_that_stops_answering_is_one_clear_line(storage, monkeypatch):
    def ls(*_, **__):
        raise RuntimeError("no route\nto it")

    monkeypatch.setattr(type(storage), "ls", ls)
    with pytest.raises(StorageFault, match="does not answer: no route to it"):
        names(Asked(("memory://bucket",)))
