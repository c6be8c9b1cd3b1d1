"""The workers: started as they are needed, ended when they hang, replaced when they die."""

import multiprocessing
import pickle
import signal
import time
from collections.abc import Hashable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from types import TracebackType
from typing import TYPE_CHECKING, Self

from tipvision.batch.workers.hands import CrewFault, Lost
from tipvision.batch.workers.worker import Done, Message, Ready, Task, serve

if TYPE_CHECKING:
    from tipvision.batch.workers.outcome import Preparation

STILLBORN = 3  # workers in a row that end before they are ready: then none will be
START_S = 120.0  # that a worker may take to get ready
PARTING_S = 1.0  # that an idle worker has to end by itself


@dataclass(eq=False)
class Hand:
    """One worker: its process and pipe, the task it has, and since when (monotonic seconds)."""

    process: SpawnProcess
    pipe: Connection
    task: Task | None
    since: float
    ready: bool = False


class Crew:
    """Up to `size` workers, each with at most one task in hand.

    Shared pools were looked at and left: they hand out work through a queue whose lock a killed
    worker keeps, or give up the whole pool when one dies.
    """

    def __init__(self, prepare: "Preparation", size: int, longest: float) -> None:
        """longest: seconds that a worker may take over one photo."""
        self._prepare = pickle.dumps(prepare)
        self._size, self._longest = size, longest
        self._hands: list[Hand] = []
        self._stillborn = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None
    ) -> None:
        for hand in self._hands:
            with suppress(OSError):
                hand.pipe.send(None) if hand.task is None else hand.process.kill()
        parting = time.monotonic() + PARTING_S
        for hand in self._hands:
            hand.process.join(max(0.0, parting - time.monotonic()))
            hand.process.kill()
            hand.process.join()
            hand.pipe.close()
        self._hands = []

    @property
    def has_room(self) -> bool:
        """Whether another task would be begun at once."""
        return sum(hand.task is not None for hand in self._hands) < self._size

    def give(self, task: Task) -> Hand:
        """Hand a task to an idle worker, or to a new one; only where the crew `has_room`."""
        hand = next((one for one in self._hands if one.task is None), None)
        if hand is None:
            hand = self._started()
        hand.task, hand.since = task, time.monotonic()
        with suppress(OSError):  # a worker that is gone shows itself in `happened`
            hand.pipe.send(task)
        return hand

    def answer(self, hand: Hashable, wanted: bool) -> None:
        """Tell a worker whether what it offered is to be read."""
        assert isinstance(hand, Hand)
        with suppress(OSError):
            hand.pipe.send(wanted)

    def happened(self, longest: float) -> Iterator[tuple[Hand, Message | Lost]]:
        """What workers tell, waited for up to `longest` seconds.

        After `Done` or `Lost` the worker is free, or another takes its place with the next task.
        Raises CrewFault when workers end again and again before they are ready.
        """
        now = time.monotonic()
        ends = [self._end_of(hand) - now for hand in self._hands if hand.task is not None]
        patience = max(0.0, min([longest, *ends]))
        by_pipe = {hand.pipe: hand for hand in self._hands}
        for pipe in wait(list(by_pipe), patience):
            hand = by_pipe[pipe]  # type: ignore[index]  # only pipes were waited for
            try:
                message: Message = hand.pipe.recv()
            except (EOFError, OSError, pickle.UnpicklingError):
                yield from self._lose(hand, None)
                continue
            if isinstance(message, Ready):
                hand.ready, hand.since, self._stillborn = True, time.monotonic(), 0
            else:
                if isinstance(message, Done):
                    hand.task = None
                yield hand, message
        for hand in list(self._hands):
            if hand.task is not None and time.monotonic() > self._end_of(hand):
                yield from self._lose(hand, f"took longer than {self._longest:g} s")

    def _end_of(self, hand: Hand) -> float:
        return hand.since + (self._longest if hand.ready else START_S)

    def _started(self) -> Hand:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=serve, args=(theirs,), daemon=True)
        with _interrupts_held():
            process.start()
        theirs.close()
        with suppress(OSError):
            ours.send_bytes(self._prepare)
        hand = Hand(process, ours, None, time.monotonic())
        self._hands.append(hand)
        return hand

    def _lose(self, hand: Hand, how: str | None) -> Iterator[tuple[Hand, Lost]]:
        """Take a worker out that ended, or is ended for `how` it behaved."""
        if how is None:
            hand.process.join(PARTING_S)  # its pipe ends a moment before it does
        hand.process.kill()
        hand.process.join()
        self._hands.remove(hand)
        hand.pipe.close()
        if not hand.ready:
            self._stillborn += 1
            if self._stillborn >= STILLBORN:
                raise CrewFault(
                    f"Workers end before they have begun ({_ended_by(hand.process)}). "
                    "Give fewer --workers, or install tipvision again."
                )
        if hand.task is not None:
            yield hand, Lost(how or f"ended its process ({_ended_by(hand.process)})")


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Interrupts wait, and never come to a process that is started meanwhile: it inherits that."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _ended_by(process: SpawnProcess) -> str:
    code = process.exitcode or 0
    if code >= 0:
        return f"exit status {code}"
    try:
        return signal.Signals(-code).name
    except ValueError:
        return f"signal {-code}"
