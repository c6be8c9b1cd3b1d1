"""What a run needs of whoever reads for it: worker processes of this machine, or a cluster."""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Protocol, Self

from tipvision.batch.workers.worker import Message, Task


class CrewFault(OSError):
    """Nobody can read; one line says why and what to do."""


@dataclass(frozen=True)
class Lost:
    """A task is lost: its worker ended over it. how: in words that go on after "Reading it"."""

    how: str


class Hands(Protocol):
    """Takes tasks and tells what came of them; a hand is whatever has one task."""

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None
    ) -> None: ...

    @property
    def has_room(self) -> bool:
        """Whether another task would be begun soon."""
        ...

    def give(self, task: Task) -> Hashable:
        """Hand out a task; only where there is room."""
        ...

    def answer(self, hand: Hashable, wanted: bool) -> None:
        """Say whether what was offered is to be read."""
        ...

    def happened(self, longest: float) -> Iterator[tuple[Hashable, Message | Lost]]:
        """What came of tasks, waited for up to `longest` seconds. After `Done` or `Lost` the hand
        is free. Raises CrewFault where no task can be done at all."""
        ...
