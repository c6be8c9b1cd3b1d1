"""A listing that goes on by itself in a thread, so that slow storage keeps no worker waiting."""

import queue
import threading
import time
from collections.abc import Iterator
from types import TracebackType
from typing import Self

from tipvision.batch.sources.found import Found

AT_ONCE = 64
LATEST_S = 0.1  # that a photo waits for others to be handed on with
ROOM = 32  # handfuls that may wait


class Feed:
    """Handfuls of photos as they are listed, at most `ROOM` of them in memory."""

    def __init__(self, photos: Iterator[Found]) -> None:
        self._photos = photos
        self._handfuls: queue.Queue[list[Found] | BaseException | None] = queue.Queue(ROOM)
        self._left = threading.Event()
        self.ended = False
        self._thread = threading.Thread(target=self._list, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None
    ) -> None:
        self._left.set()

    def handful(self) -> list[Found]:
        """What has been listed since, at once; `ended` tells when there is no more to come.

        Raises whatever the listing raised.
        """
        try:
            handful = self._handfuls.get_nowait()
        except queue.Empty:
            return []
        if isinstance(handful, BaseException):
            raise handful
        self.ended = handful is None
        return handful or []

    def _list(self) -> None:
        held: list[Found] = []
        since = time.monotonic()
        try:
            for found in self._photos:
                held.append(found)
                if len(held) == AT_ONCE or time.monotonic() > since + LATEST_S:
                    if not self._put(held):
                        return
                    held, since = [], time.monotonic()
        except BaseException as error:  # told to whoever takes the handfuls
            self._put(error)
            return
        if self._put(held):
            self._put(None)

    def _put(self, handful: list[Found] | BaseException | None) -> bool:
        """Wait for room; False when nobody takes handfuls any more."""
        while not self._left.is_set():
            try:
                self._handfuls.put(handful, timeout=LATEST_S)
                return True
            except queue.Full:
                continue
        return False
