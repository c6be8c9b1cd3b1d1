"""What a run says: while it goes on, and at its end."""

import io
from collections import Counter

from tipvision.batch.telling import progress
from tipvision.batch.telling.progress import Progress, duration, words
from tipvision.batch.telling.summary_words import summary_lines
from tipvision.batch.telling.tally import Tally

RUN = {
    **{"listed": 40, "stood": 3, "read": 37, "gone": 0, "read_again": {}, "passed_over": {}},
    **{"not_listed": [], "seconds": 100.0, "photos_a_second": 0.37},
}
SUMMARY = {
    "photos": 40,
    "states": {"read": 37, "unclear": 0, "not_a_plug": 2, "skipped": 1},
    "conditions": {"chalk_white": 36, "none": 1},
    "machines": {},
    "do_not_start": {"count": 0, "photos": []},
    "unreadable": [],
    "odd_plugs": [],
    "run": RUN,
}


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def told(stream, monkeypatch, seconds):
    """What is written when a run is looked at in each of these moments."""
    now = iter(seconds)
    monkeypatch.setattr(progress.time, "monotonic", lambda: next(now))
    tell = Progress(stream, _last=0.0)
    for settled, _ in enumerate(seconds, 1):
        tell(Tally(settled=settled, to_read=10, listing_ended=True, begun=0.0))
    return stream.getvalue()


def test_a_terminal_has_one_line_and_a_log_a_line_now_and_then(monkeypatch):
    on_terminal = told(Terminal(), monkeypatch, [0.1, 1.0, 2.0])
    assert on_terminal.count("\r") == 2 and "\n" not in on_terminal
    in_log = told(io.StringIO(), monkeypatch, [1.0, 31.0, 32.0, 62.0])
    assert in_log.count("\n") == 2 and "\r" not in in_log


def test_the_line_of_a_terminal_ends_with_what_was_done(monkeypatch):
    now, stream = iter([1.0, 2.0]), Terminal()
    monkeypatch.setattr(progress.time, "monotonic", lambda: next(now))
    tell, tally = Progress(stream, _last=0.0), Tally(to_read=9, listing_ended=True, begun=0.0)
    tell(tally)
    tally.settled = 9
    tell.end()
    assert stream.getvalue().split("\r")[-1] == "9 of 9 photos read, 4.5 a second\n"


def test_time_left_is_told_only_once_all_is_listed():
    going = Tally(settled=10, to_read=1000)
    assert words(going, 5.0) == "10 of 1,000 or more photos read, 5.0 a second"
    going.listing_ended = True
    assert words(going, 5.0) == "10 of 1,000 photos read, 5.0 a second, 3 min left"
    assert [duration(s) for s in (3.2, 89, 600, 7200)] == ["3 s", "89 s", "10 min", "2.0 h"]


def test_the_summary_in_lines():
    no_answer = list(summary_lines(SUMMARY | {"conditions": {}}))
    assert no_answer[1] == "plugs that were read: 0"
    lines = list(summary_lines(SUMMARY))
    assert lines == [
        "photos: 40 (37 read, 2 not a plug, 1 not read yet)",
        "plugs that were read, by condition: 36 chalk white, 1 no condition",
        "read now: 37 in 2 min, 0.4 a second; stood from before: 3",
    ]


def test_what_else_happened_has_its_line():
    changed = {"read_again": {"model": 3, "changed": 2}, "gone": 4, "passed_over": {".txt": 2}}
    lines = list(summary_lines(SUMMARY | {"run": RUN | changed}))
    assert lines[-3:] == [
        "  of these read again: 5 (3 another model, 2 changed since)",
        "Passed over, no photos: 2 (2 .txt).",
        "Gone since the last run: 4; their readings are kept, not counted.",
    ]


def test_long_lists_are_cut_and_say_so():
    machine = {"states": Counter(read=1), "conditions": {}}
    machines = {f"TB-{k:02}": machine for k in range(40)}
    faults = [{"photo": f"{k}.jpg", "fault": "It is empty."} for k in range(9)]
    many = {"machines": machines, "states": {"unreadable": 300}, "unreadable": faults}
    lines = list(summary_lines(SUMMARY | many))
    assert "  and 28 more machines: see summary.json" in lines
    assert "unreadable: 0.jpg: It is empty." in lines
    assert "  and 295 more unreadable photos: see sheet.html" in lines


def test_odd_plugs_are_named():
    odd = {"machine": "SX-01", "folder": "SX-01/may", "photos": {"1": "a", "2": "b"}}
    named = odd | {"odd": [{"cylinder": 2, "by": ["colour"]}], "uneven": False}
    lines = list(summary_lines(SUMMARY | {"odd_plugs": [named] * 14}))
    assert "SX-01 (SX-01/may): cylinder 2 by colour stands apart." in lines
    assert "  and 2 more uneven sets of plugs: see summary.json" in lines


def test_plugs_that_forbid_the_start_are_named():
    names = [f"{k}.jpg" for k in range(12)]
    lines = list(summary_lines(SUMMARY | {"do_not_start": {"count": 12, "photos": names}}))
    assert lines[2:14] == [f"do not start or crank its engine: {name}" for name in names]
    assert lines[14].startswith("read now")
    lines = list(summary_lines(SUMMARY | {"do_not_start": {"count": 130, "photos": names * 8}}))
    assert lines[14] == "  and 118 more that must not be started: see sheet.html"
