"""Reading by the workers of a Dask cluster; their machines must reach the photos by the same names.

A lost worker costs what it had in hand, which the scheduler gives to others. Copies may be read
twice here: they are told apart only when they are done.
"""

import logging
import pickle
import time
from collections.abc import Hashable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from tipvision.batch.workers.hands import CrewFault, Lost
from tipvision.batch.workers.worker import Done, Message, Task, done_with
from tipvision.one_line import one_line

if TYPE_CHECKING:
    from tipvision.batch.workers.outcome import Preparation, Work

CONNECT_S = 10.0
A_THREAD = 2  # tasks in hand for each thread of the cluster, so that none waits for this process
LOOK_S = 5.0  # between looks at how many threads there are


class Cluster:
    """The workers behind the scheduler at `address`.

    longest: seconds that a photo may take; a photo that takes longer is given up, but its thread is
    the cluster's and cannot be ended from here. Raises CrewFault where the scheduler does not
    answer or has no workers, or Dask is not installed.
    """

    def __init__(self, address: str, prepare: "Preparation", longest: float) -> None:
        try:
            import distributed
        except ImportError as error:
            raise CrewFault("--cluster needs Dask: pip install 'tipvision[cluster]'.") from error
        for name in ("distributed", "distributed.client"):  # what they log is said here in one line
            logging.getLogger(name).setLevel(logging.CRITICAL)
        self._dask: Any = distributed  # half of it has types
        self._address = address
        with self._reached():
            self._client = self._dask.Client(address, timeout=CONNECT_S)
        try:
            self._client.wait_for_workers(1, CONNECT_S)
        except TimeoutError as error:
            self._client.close()
            raise CrewFault(
                f"The scheduler at {address} has no workers. Start some: dask worker {address}"
            ) from error
        self._prepare = pickle.dumps(prepare)
        self._longest = longest
        self._in_hand: dict[Any, float] = {}  # since when (monotonic seconds), by future
        self._threads, self._looked = 0, -LOOK_S

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None
    ) -> None:
        with suppress(Exception):  # of a scheduler that is gone
            self._client.cancel(list(self._in_hand))
            self._client.close()
        self._in_hand.clear()

    @property
    def has_room(self) -> bool:
        """Whether a thread would take another task soon."""
        if time.monotonic() > self._looked + LOOK_S:
            with self._reached():
                self._threads = sum(self._client.nthreads().values())
            self._looked = time.monotonic()
        return len(self._in_hand) < max(1, A_THREAD * self._threads)

    def give(self, task: Task) -> Hashable:
        """Hand a task to the scheduler."""
        if task.storage is None and task.content is None:
            task = replace(task, location=str(Path(task.location).absolute()))
        with self._reached():
            future = self._client.submit(read_there, self._prepare, task, pure=False)
        self._in_hand[future] = time.monotonic()
        key: Hashable = future
        return key

    def answer(self, hand: Hashable, wanted: bool) -> None:
        """Nothing is offered from afar."""

    def happened(self, longest: float) -> Iterator[tuple[Hashable, Message | Lost]]:
        """What came of tasks, waited for up to `longest` seconds."""
        if not self._in_hand:
            time.sleep(longest)
            return
        with self._reached(), suppress(self._dask.TimeoutError):
            self._dask.wait(list(self._in_hand), longest, return_when="FIRST_COMPLETED")
        for future in [one for one in self._in_hand if one.done()]:
            del self._in_hand[future]
            yield future, self._came_of(future)
        now = time.monotonic()
        for future, since in list(self._in_hand.items()):
            if not self._threads:  # all workers are gone for now, which is no photo's fault
                self._in_hand[future] = now
            elif since < now - A_THREAD * self._longest:
                del self._in_hand[future]
                future.cancel()
                yield future, Lost(f"took longer than {self._longest:g} s")

    @contextmanager
    def _reached(self) -> Iterator[None]:
        """Whatever Dask raises of a scheduler that does not answer becomes one line."""
        try:
            yield
        except Exception as error:
            said = (str(error).splitlines() or [type(error).__name__])[0].rstrip(".:")
            raise CrewFault(
                f"The scheduler at {self._address} cannot be reached: {said}. "
                "Check the address, or start it anew."
            ) from error

    def _came_of(self, future: Any) -> Done | Lost:
        try:
            done: Done = future.result()
            return done
        except self._dask.KilledWorker:
            return Lost("ended several workers")
        except Exception as error:  # whatever a cluster that is not set up raises
            raise CrewFault(
                f"The cluster's workers cannot read: {one_line(error)}. "
                "Install the same tipvision there."
            ) from error


def read_there(prepare: bytes, task: Task) -> Done:
    """Read a photo in a worker of the cluster, which is prepared by its first task."""
    return done_with(task, _prepared(prepare), lambda _: True)


@lru_cache(maxsize=1)
def _prepared(prepare: bytes) -> "Work":
    work: Work = pickle.loads(prepare)()
    return work
