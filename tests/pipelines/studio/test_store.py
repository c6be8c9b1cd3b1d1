"""A stored render comes back as it went in; a broken one is refused by name."""

import contextlib
import zipfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pipelines.studio.store import Linear, StoreError, packed, read_linear, whole, write_linear
from tests.pipelines.studio.test_truth import GOOD


@pytest.fixture
def linear() -> Linear:
    rng = np.random.default_rng(1)
    groups = [rng.uniform(0, 3, (6, 8, 16)).astype(np.float32) for _ in range(2)]
    mask = rng.integers(0, 8, (6, 8)).astype(np.uint8)
    chart = packed([rng.uniform(0, 3, (3, 4, 16)).astype(np.float32) for _ in range(2)])
    return Linear(packed(groups), mask, ("A", "D65"), 0.3, 1.5, ("A", "A1"), GOOD, chart)


def test_round_trip(tmp_path: Path, linear: Linear) -> None:
    path = tmp_path / "0000001.npz"
    write_linear(path, linear)
    got = read_linear(path)
    assert np.array_equal(got.bands, linear.bands)
    assert np.array_equal(got.mask, linear.mask)
    assert np.array_equal(got.companion, linear.companion)
    same = {name: getattr(linear, name) for name in ("bands", "mask", "companion")}
    assert replace(got, **same) == linear
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_half_a_stored_light_is_refused(tmp_path: Path, linear: Linear) -> None:
    path = tmp_path / "a.npz"
    assert linear.companion is not None
    for broken in (
        replace(linear, companion=None),
        replace(linear, truth=replace(GOOD, stored_light=None)),
        replace(linear, companion=linear.companion[:1]),
        replace(linear, companion=linear.companion.astype(np.float32)),  # type: ignore[arg-type]
    ):
        write_linear(path, broken)
        with pytest.raises(StoreError, match=r"a\.npz: .* Render it again"):
            read_linear(path)
    without = replace(linear, companion=None, truth=replace(GOOD, stored_light=None))
    write_linear(path, without)
    assert read_linear(path).companion is None


def test_float16_keeps_radiance_to_a_two_thousandth() -> None:
    values = np.geomspace(1e-3, 5e3, 16 * 64, dtype=np.float32).reshape(8, 8, 16)
    assert packed([values])[0].astype(np.float64) == pytest.approx(values, rel=1 / 2048)


def test_a_write_that_fails_leaves_nothing(
    tmp_path: Path, linear: Linear, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(np, "savez", full)
    with pytest.raises(OSError, match="disk full"):
        write_linear(tmp_path / "a.npz", linear)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("cut", [0, 10, 400, -30])
def test_torn_files_are_refused(tmp_path: Path, linear: Linear, cut: int) -> None:
    path = tmp_path / "a.npz"
    write_linear(path, linear)
    assert whole(path)
    path.write_bytes(path.read_bytes()[:cut])
    assert not whole(path)
    with pytest.raises(StoreError, match=r"a\.npz is damaged .*again"):
        read_linear(path)


def test_any_byte_lost_is_noticed(tmp_path: Path, linear: Linear) -> None:
    path = tmp_path / "a.npz"
    write_linear(path, linear)
    good = path.read_bytes()
    with zipfile.ZipFile(path) as arrays:
        spans = [(i.header_offset + 100, i.file_size - 200) for i in arrays.infolist()]
    rng = np.random.default_rng(5)
    for start, length in spans:
        # Within an array's data: what surrounds them holds fields that nobody reads.
        at = start + int(rng.integers(max(1, length)))
        path.write_bytes(good[:at] + bytes([good[at] ^ 0x55]) + good[at + 1 :])
        assert not whole(path)
        with pytest.raises(StoreError, match=r"a\.npz is damaged"):
            read_linear(path)


def test_no_broken_file_ends_in_anything_but_its_own_error(tmp_path: Path, linear: Linear) -> None:
    path = tmp_path / "a.npz"
    write_linear(path, linear)
    good = path.read_bytes()
    rng = np.random.default_rng(6)
    for _ in range(400):
        bad = bytearray(good)
        for at in rng.integers(len(bad), size=3):
            bad[at] = rng.integers(256)
        for at in rng.integers(max(0, len(bad) - 300), len(bad), size=2):
            bad[at] = rng.integers(256)
        path.write_bytes(bytes(bad))
        if whole(path):
            continue
        with contextlib.suppress(StoreError):
            read_linear(path)


def test_garbage_is_refused_without_a_word_of_pickles(tmp_path: Path) -> None:
    path = tmp_path / "a.npz"
    path.write_bytes(b"garbage " * 100)
    assert not whole(path)
    with pytest.raises(StoreError, match=r"a\.npz is damaged or no stored render") as error:
        read_linear(path)
    assert "pickle" not in str(error.value) and "\n" not in str(error.value)


def test_a_render_with_an_impossible_truth_is_refused(tmp_path: Path, linear: Linear) -> None:
    path = tmp_path / "a.npz"
    write_linear(path, replace(linear, truth=replace(GOOD, seed=-3)))
    with pytest.raises(StoreError, match=r"^a\.npz: seed is -3; .* Delete the file and render"):
        read_linear(path)


def test_pickles_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.npz"
    np.savez(path, bands=np.array([{"a": 1}], dtype=object))
    assert not whole(path)
    with pytest.raises(StoreError, match=r"a\.npz"):
        read_linear(path)
