"""The store by itself: what stands, what it says of damage, a full disk and a second run."""

import os
import resource
import sqlite3
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.batch.running import GROUNDS
from tests.batch.stand_in import read
from tipvision.batch.sources.found import Found, PassedOver
from tipvision.batch.store.entries import entries
from tipvision.batch.store.ledger import (
    begin_run,
    end_listing,
    keep_reading,
    note,
    settle,
    settle_fault,
    why_to_read,
)
from tipvision.batch.store.out_folder import STORE_FILE, OutFault, locked, usual_out
from tipvision.batch.store.store import committed, opened
from tipvision.batch.telling.summary import summary_of
from tipvision.batch.telling.tally import Tally
from tipvision.batch.workers.outcome import Outcome, unreadable
from tipvision.photo.fault import PhotoFault

CHECKOUT = Path(__file__).parents[3]
A = Found("a.jpg", 0, "/photos/a.jpg", 1, "1:1")


def with_one_photo(out: Path) -> Path:
    with opened(out) as store:
        run = begin_run(store, GROUNDS)
        with committed(store):
            note(store, A, run, 1, "new")
            keep_reading(store, "d1", read("a.jpg", b"1", None))
            settle(store, "a.jpg", "d1")
        end_listing(store, run)
    return out / STORE_FILE


@pytest.mark.parametrize("part", sorted(GROUNDS))
def test_a_photo_is_read_again_for_what_differs(tmp_path, part):
    with_one_photo(tmp_path)
    with opened(tmp_path) as store:
        assert why_to_read(store, A, GROUNDS) is None
        assert why_to_read(store, A, {**GROUNDS, part: "other"}) == part
        changed = Found("a.jpg", 0, "/photos/a.jpg", 1, "1:2")
        assert why_to_read(store, changed, GROUNDS) == "changed"
        unknown = Found("a.jpg", 0, "/photos/a.jpg", None, None)
        assert why_to_read(store, unknown, GROUNDS) == "changed"
        assert why_to_read(store, Found("b.jpg", 0, "", 1, "1:1"), GROUNDS) == "new"


def test_what_was_not_committed_is_not_there(tmp_path):
    with_one_photo(tmp_path)
    with pytest.raises(ZeroDivisionError), opened(tmp_path) as store, committed(store):
        settle_fault(store, "a.jpg", "d1", read("a.jpg", b"1", None))
        raise ZeroDivisionError
    with opened(tmp_path) as store:
        assert [e.state for e in entries(store)] == ["unclear"]


def test_each_plug_of_a_photo_has_its_record_and_counts(tmp_path):
    plugs = [read("b.jpg", b"read 1", None), read("b.jpg", b"2", None)]
    both = Outcome("read", ("normal",), tuple(one.records[0] for one in plugs))
    with opened(tmp_path) as store:
        run = begin_run(store, GROUNDS)
        with committed(store):
            note(store, A, run, 1, "new")
            keep_reading(store, "d1", both)
            settle(store, "a.jpg", "d1")
        (entry,) = entries(store)
        summary = summary_of(store, Tally(), PassedOver())
    assert [record["outcome"] for record in entry.records] == ["read", "unclear"]
    assert {record["photo"] for record in entry.records} == {"a.jpg"}
    assert entry.state == "read"
    assert (summary["photos"], summary["conditions"]) == (1, {"normal": 1})


@pytest.mark.parametrize("where", [0, 30, 5000])
def test_a_damaged_store_is_one_clear_line(tmp_path, where):
    path = with_one_photo(tmp_path)
    content = bytearray(path.read_bytes())
    content[where : where + 4000] = b"\x5a" * len(content[where : where + 4000])
    path.write_bytes(content)
    with pytest.raises(OutFault) as fault, opened(tmp_path) as store:
        begin_run(store, GROUNDS)
        list(entries(store))
    assert str(path) in str(fault.value)
    assert "\n" not in str(fault.value)


def test_a_database_of_another_program_is_left_alone(tmp_path):
    path = tmp_path / STORE_FILE
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE theirs (x)")
    other.commit()
    other.close()
    with pytest.raises(OutFault, match="no batch of format"), opened(tmp_path):
        pass


def test_a_disk_that_is_full_is_one_clear_line_and_tears_nothing(tmp_path):
    """A limit on the size of a file is as near to a full disk as a test comes without its own."""
    with_one_photo(tmp_path)
    fill = (
        "import sys\nfrom pathlib import Path\n"
        "from tipvision.batch.workers.outcome import Outcome\n"
        "from tipvision.batch.store.store import *\n"
        "from tipvision.batch.store.ledger import keep_reading\n"
        "from tipvision.batch.store.out_folder import OutFault\n"
        "big = Outcome('unclear', (), (), b'x' * 200_000)\n"
        "try:\n"
        "    with opened(Path(sys.argv[1])) as store:\n"
        "        for k in range(100):\n"
        "            with committed(store): keep_reading(store, f'full{k}', big)\n"
        "except OutFault as fault: print(fault)\n"
    )
    limited = subprocess.run(
        [sys.executable, "-c", fill, str(tmp_path)],
        cwd=CHECKOUT,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (1_000_000, 1_000_000)),
        capture_output=True,
        text=True,
        check=True,
    )
    assert limited.stderr == ""
    (line,) = limited.stdout.splitlines()
    assert "disk" in line and "again" in line
    with opened(tmp_path) as store:
        assert [e.state for e in entries(store)] == ["unclear"]
        assert store.connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_a_second_run_is_refused_while_one_goes_on_and_not_after(tmp_path):
    with locked(tmp_path):
        again = (
            "import sys\nfrom pathlib import Path\n"
            "from tipvision.batch.store.out_folder import *\n"
            "with locked(Path(sys.argv[1])): pass"
        )
        second = subprocess.run(
            [sys.executable, "-c", again, str(tmp_path)],
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
            capture_output=True,
            text=True,
            check=False,
        )
    assert "Another run writes to" in second.stderr
    with locked(tmp_path):
        pass


def test_the_usual_folder_lies_beside_the_one_that_is_read(tmp_path, monkeypatch):
    (tmp_path / "shop").mkdir()
    assert usual_out([str(tmp_path / "shop")]) == tmp_path / "shop-readings"
    monkeypatch.chdir(tmp_path / "shop")
    assert usual_out(["."]) == tmp_path / "shop-readings"
    assert usual_out(["s3://photos"]) == usual_out(["a", "b"]) == Path("tipvision-batch")


photos = st.dictionaries(
    st.from_regex(r"([AB]/)?[a-z]{1,3}\.jpg", fullmatch=True),
    st.sampled_from(("read 1", "read 2", "3", "4", "fault", "waiting")),
    max_size=20,
)


@settings(max_examples=40)
@given(contents=photos)
def test_counts_add_up(contents, tmp_path_factory):
    out = tmp_path_factory.mktemp("counts")
    with opened(out) as store:
        run = begin_run(store, GROUNDS)
        with committed(store):
            for turn, (name, content) in enumerate(contents.items(), 1):
                machine = name.rpartition("/")[0] or None
                note(store, Found(name, 0, name, 1, "1", machine), run, turn, "new")
                outcome = read(name, content.encode(), None)
                if content == "fault":
                    settle_fault(store, name, "", unreadable(name, PhotoFault("Gone.", "Look.")))
                elif content != "waiting":
                    keep_reading(store, content, outcome)
                    settle(store, name, content)
        end_listing(store, run)
        found = list(entries(store))
        summary = summary_of(store, Tally(listed=len(contents)), PassedOver())
    assert [e.name for e in found] == sorted(contents)
    states = Counter(e.state for e in found)
    assert summary["states"] == {state: states[state] for state in summary["states"]}
    assert summary["photos"] == len(contents) == sum(summary["states"].values())
    assert states["unreadable"] == list(contents.values()).count("fault")
    assert states["skipped"] == list(contents.values()).count("waiting")
    by_machine = sum(sum(m["states"].values()) for m in summary["machines"].values())
    assert by_machine == sum("/" in name for name in contents)
    assert summary["conditions"].get("normal", 0) == states["read"]
    for entry in found:
        assert (entry.same_as is not None) == (entry.state == "duplicate")
