"""A process that reads photos, one at a time, as its parent hands them over.

It has a pipe of its own and no lock in common with others, so that whatever ends it, even in the
middle of a message, costs the photo that it had and nothing else.
"""

import hashlib
import multiprocessing
import os
import pickle
import signal
import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tipvision.batch.workers.outcome import Outcome, Work

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


@dataclass(frozen=True)
class Task:
    """A photo to read.

    location: path or, in `storage` (an fsspec file system), the path there.
    content:  the bytes, where only the parent can open it.
    """

    name: str
    location: str
    storage: Any = None
    content: bytes | None = None


@dataclass(frozen=True)
class Ready:
    """The worker is prepared."""


@dataclass(frozen=True)
class Offer:
    """SHA-256 of the content in hand, hex; answered by whether it is to be read."""

    digest: str


@dataclass(frozen=True)
class Done:
    """The photo, read.

    digest:  "" where its content could not be had.
    outcome: None where it was not wanted.
    stands:  False where it says nothing of the content, so that the next run is to try again.
    """

    digest: str
    outcome: "Outcome | None"
    stands: bool = True


Message = Ready | Offer | Done


def serve(pipe: Connection) -> None:
    """Read what comes until the pipe ends. The first message is a pickled `Preparation`."""
    # An interrupt at the terminal reaches this process too; the parent decides what to stop.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_die_with_parent, daemon=True).start()
    for name in THREADS:  # before NumPy is loaded
        os.environ[name] = "1"
    try:
        work = pickle.loads(pipe.recv_bytes())()
        _mute_decoders()
        pipe.send(Ready())
        while (task := pipe.recv()) is not None:
            pipe.send(done_with(task, work, partial(_is_wanted, pipe)))
    except (EOFError, BrokenPipeError, ConnectionResetError):
        return  # nobody is there to read for


def done_with(task: Task, work: "Work", is_wanted: Callable[[str], bool]) -> Done:
    """Open a photo and read it, where its content `is_wanted`, by its digest.

    An error that no station foresaw costs that photo: one odd file must not stop all others.
    """
    from tipvision.batch.workers.content import content_of
    from tipvision.batch.workers.outcome import unforeseen, unreadable
    from tipvision.photo.fault import PhotoFault

    try:
        content = task.content
        if content is None:
            content = content_of(task.location, task.storage)
    except PhotoFault as fault:
        return Done("", unreadable(task.name, fault), stands=False)
    digest = hashlib.sha256(content).hexdigest()
    if not is_wanted(digest):
        return Done(digest, None)
    try:
        return Done(digest, work(task.name, content))
    except Exception as error:  # memory that ran out among them
        return Done(digest, unforeseen(task.name, error), stands=False)


def _is_wanted(pipe: Connection, digest: str) -> bool:
    pipe.send(Offer(digest))
    wanted: bool = pipe.recv()
    return wanted


def _mute_decoders() -> None:
    """Decoders written in C tell the terminal of each damaged file; the record tells it already."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)


def _die_with_parent() -> None:
    """Wait until the parent is gone, then end this process without asking the work in hand."""
    parent = multiprocessing.parent_process()
    assert parent is not None
    parent.join()
    os._exit(1)
