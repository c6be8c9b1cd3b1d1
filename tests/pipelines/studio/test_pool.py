"""Processes that share work: all of it is done, and none outlives the one that began them."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress

import pytest

from pipelines.studio.pool import THREADS, spread
from tests.conftest import CHECKOUT

SLEEPERS = """
import contextlib, multiprocessing, signal, time
from pipelines.studio.pool import spread

# a shell that runs things in the background lets them ignore interrupts
signal.signal(signal.SIGINT, signal.default_int_handler)

with contextlib.closing(spread(time.sleep, {items}, 2)) as begun:
    next(begun)
    print(*(child.pid for child in multiprocessing.active_children()), flush=True)
    list(begun)
"""


@contextmanager
def _sleepers(items: str) -> Iterator[subprocess.Popen[str]]:
    """A process whose two workers sleep for so many seconds, once the first item is done."""
    parent = subprocess.Popen(
        [sys.executable, "-c", SLEEPERS.format(items=items)],
        cwd=CHECKOUT,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert parent.stdout is not None
    workers = [int(pid) for pid in parent.stdout.readline().split()]
    try:
        assert len(workers) == 2
        yield parent
    finally:
        for pid in (parent.pid, *workers):
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        parent.wait()


def test_workers_die_with_a_parent_that_is_killed() -> None:
    with _sleepers("[0, 600, 600]") as parent:
        parent.kill()
        # The output ends once no process holds it any more: that is when all have died.
        rest, _ = parent.communicate(timeout=30)
        assert rest == ""


def test_an_interrupt_leaves_what_has_not_begun() -> None:
    with _sleepers("[0] + [0.1] * 6000") as parent:
        parent.send_signal(signal.SIGINT)
        parent.communicate(timeout=30)
        assert parent.returncode not in (0, None)


@pytest.mark.parametrize("workers", [1, 2])
def test_every_item_is_worked_on(workers: int, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in THREADS:
        monkeypatch.setenv(name, "1")
    assert sorted(spread(abs, [-1, 2, -3], workers)) == [1, 2, 3]


def test_gpus_are_taken_in_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in THREADS:
        monkeypatch.setenv(name, "1")
    seen = set(spread(os.getenv, ["CUDA_VISIBLE_DEVICES"] * 40, 2, 2))
    assert seen <= {"0", "1"} and seen
