"""Runs with a stand-in for the reading: what is read, what stands, what a fault costs."""

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

from tests.batch.running import GROUNDS, run
from tipvision.batch.sources.listing import Asked
from tipvision.batch.store.out_folder import OutFault
from tipvision.batch.store.store import opened
from tipvision.batch.workers.outcome import UNFORESEEN

CHECKOUT = Path(__file__).parents[2]


def states(ran):
    return {entry.name: entry.state for entry in ran.entries}


def test_every_photo_is_read_once_and_a_second_run_reads_none(made, log):
    asked = made({"a.jpg": "1", "TB-07/b.jpg": "read 2", "TB-07/c-cyl2.jpg": "3", "notes.txt": "4"})
    first = run(asked, log=log)
    assert states(first) == {
        "a.jpg": "unclear",
        "TB-07/b.jpg": "read",
        "TB-07/c-cyl2.jpg": "unclear",
    }
    assert [(e.machine, e.cylinder) for e in first.entries] == [
        ("TB-07", None),
        ("TB-07", 2),
        (None, None),
    ]
    assert sorted(log.read_text().split()) == ["TB-07/b.jpg", "TB-07/c-cyl2.jpg", "a.jpg"]
    second = run(asked, log=log)
    assert second.entries == first.entries
    assert second.tally.read == second.tally.to_read == 0
    assert len(log.read_text().split()) == 3


def test_copies_are_read_once_whoever_comes_first(made, log):
    contents = {f"{k}.jpg": "slow 0.05 the same" for k in range(6)} | {"z.jpg": "other"}
    ran = run(made(contents), workers=2, log=log)
    assert Counter(states(ran).values()) == {"unclear": 2, "duplicate": 5}
    assert [e.same_as for e in ran.entries] == [None, *["0.jpg"] * 5, None]
    assert ran.entries[0].records[0]["photo"] == "0.jpg"
    assert len(log.read_text().split()) == 2


def test_changed_touched_moved_and_gone_files(made, log):
    asked = made({"a.jpg": "1", "b.jpg": "2", "c.jpg": "3", "d.jpg": "4"})
    run(asked)
    folder = Path(asked.sources[0])
    (folder / "a.jpg").write_text("changed")
    os.utime(folder / "b.jpg", ns=(1, 1))
    (folder / "c.jpg").rename(folder / "e.jpg")
    (folder / "d.jpg").unlink()
    ran = run(asked, log=log)
    assert log.read_text().split() == ["a.jpg"]
    assert set(states(ran)) == {"a.jpg", "b.jpg", "e.jpg"}
    assert ran.summary["run"]["read_again"] == {"changed": 1}
    assert ran.tally.gone == 2
    assert ran.entries[2].records[0]["photo"] == "e.jpg"
    (folder / "d.jpg").write_text("4")
    assert run(asked, log=log).tally.read == 0  # its reading was kept


def test_another_model_reads_again_and_says_why(made):
    asked = made({"a.jpg": "1", "b.jpg": "1"})
    run(asked)
    ran = run(asked, {**GROUNDS, "model": "other"})
    assert ran.summary["run"]["read_again"] == {"model": 1}
    assert states(ran) == {"a.jpg": "unclear", "b.jpg": "duplicate"}


def test_a_worker_that_dies_costs_its_photo_only_and_that_after_a_second_try(made, log, tmp_path):
    contents = {f"{k}.jpg": str(k) for k in range(5)}
    contents |= {"deadly.jpg": "die", "copy.jpg": "die", "unlucky.jpg": f"die-once {tmp_path}/m"}
    ran = run(made(contents), workers=2, log=log)
    found = states(ran)
    assert ran.tally.complete
    assert [name for name in found if found[name] == "unreadable"] == ["copy.jpg", "deadly.jpg"]
    faults = [e.records[0]["reasons"][0]["text"] for e in ran.entries if e.state == "unreadable"]
    assert all("SIGKILL" in fault and "twice" in fault for fault in faults)
    read = Counter(log.read_text().split())
    assert read["unlucky.jpg"] == 2
    assert read["deadly.jpg"] + read["copy.jpg"] in (2, 3, 4)


def test_what_cost_a_worker_is_tried_again_by_the_next_run(made):
    asked = made({"a.jpg": "die", "b.jpg": "1"})
    assert states(run(asked))["a.jpg"] == "unreadable"
    Path(asked.sources[0], "a.jpg").write_text("well")
    assert states(run(asked)) == {"a.jpg": "unclear", "b.jpg": "unclear"}


def test_an_error_that_nobody_foresaw_costs_its_photo_until_the_next_run(made):
    asked = made({"a.jpg": "surprise", "b.jpg": "surprise", "c.jpg": "1"})
    ran = run(asked)
    assert states(ran) == {"a.jpg": "unreadable", "b.jpg": "unreadable", "c.jpg": "unclear"}
    (reason,) = ran.entries[0].records[0]["reasons"]
    assert reason["text"] == f"{UNFORESEEN} (MemoryError)."
    again = run(asked)
    assert (again.tally.to_read, again.entries) == (2, ran.entries)


def test_a_photo_that_hangs_is_given_up(made):
    ran = run(made({"a.jpg": "hang", "b.jpg": "1"}), longest=0.5)
    assert states(ran) == {"a.jpg": "unreadable", "b.jpg": "unclear"}
    assert "longer than 0.5 s" in ran.entries[0].records[0]["reasons"][0]["text"]


def test_files_that_cannot_be_reached_are_unreadable_and_tried_again(tmp_path, made):
    asked = made({"a.jpg": "1"})
    names = tmp_path / "names.txt"
    folder = asked.sources[0]
    names.write_text(f"{folder}/a.jpg\n\n{folder}/gone.jpg\n{folder}\n/dev/null\n{folder}/a.jpg\n")
    asked = Asked(lists=(str(names),), out=asked.out)
    ran = run(asked)
    assert [e.state for e in ran.entries] == ["unclear", "unreadable", "unreadable", "unreadable"]
    assert [e.records[0]["reasons"][0]["code"] for e in ran.entries[1:]] == ["cannot_open"] * 3
    Path(folder, "gone.jpg").write_text("2")
    assert [e.state for e in run(asked).entries][:2] == ["unclear", "unclear"]


def test_names_that_are_no_text_are_kept_as_they_are(made):
    asked = made({"a.jpg": "1"})
    name = os.fsdecode(b"odd-\xff'\"<b>\n.jpg")
    Path(asked.sources[0], name).write_text("2")
    assert set(states(run(asked))) == {"a.jpg", name}
    assert run(asked).tally.read == 0


def begun(asked: Asked) -> subprocess.Popen:
    return subprocess.Popen(
        [sys.executable, "-m", "tests.batch.running", asked.sources[0], str(asked.out)],
        cwd=CHECKOUT,
        start_new_session=True,
    )


def test_kills_at_any_moment_lose_nothing_and_repeat_nothing(made, log):
    contents = {f"{k:03}.jpg": f"slow 0.02 {k // 2}" for k in range(80)}
    asked = made(contents)
    undisturbed = run(replace(asked, out=asked.out.with_name("quiet")))
    moments, kept = random.Random(1), set()
    for round_ in range(4):
        process = begun(asked)
        while round_ and process.poll() is None and finished(asked.out) == kept:
            time.sleep(0.02)  # the first may be killed before it has begun, the others have read
        time.sleep(moments.uniform(0.0, 0.15))
        process.kill()
        process.wait()
        before = kept
        kept = finished(asked.out)
        assert before <= kept
    assert kept
    ran = run(asked, log=log)
    assert ran.entries == undisturbed.entries
    assert len(log.read_text().split() if log.exists() else []) == 40 - len(kept)


def finished(out: Path) -> set[str]:
    """Contents whose reading is committed; none while the store is being made."""
    try:
        with opened(out, to_write=False) as store:
            return {digest for (digest,) in store.connection.execute("SELECT digest FROM readings")}
    except OutFault:
        return set()


def test_an_interrupt_ends_in_order_and_the_next_run_goes_on(made):
    asked = made({f"{k:03}.jpg": f"slow 0.05 {k}" for k in range(25)})
    process = begun(asked)
    while not finished(asked.out):
        time.sleep(0.02)
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to the workers as well
    assert process.wait(20) == 130
    kept = finished(asked.out)
    assert 0 < len(kept) < 25
    ran = run(asked)
    assert ran.tally.read == 25 - len(kept)
    assert set(states(ran).values()) == {"unclear"}
