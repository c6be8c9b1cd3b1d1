"""A run over a batch: what is listed is entered, what has no reading is read, all is kept."""

import time
from collections import deque
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass

from tipvision.batch.sources.feed import Feed
from tipvision.batch.sources.found import Found
from tipvision.batch.stop import Stop
from tipvision.batch.store import ledger
from tipvision.batch.store.ledger import NEW, SECOND, Waiting
from tipvision.batch.store.store import Store, committed
from tipvision.batch.telling.tally import Tally
from tipvision.batch.workers.hands import Hands, Lost
from tipvision.batch.workers.outcome import Outcome, unreadable
from tipvision.batch.workers.reaching import task_of
from tipvision.batch.workers.worker import Done, Message, Offer
from tipvision.photo.fault import PhotoFault

LOOK_S = 0.05  # between looks at a listing that goes on
REST_S = 0.5  # between looks for an interrupt


@dataclass
class _InHand:
    photo: Waiting
    digest: str = ""


def run_through(
    store: Store,
    parts: Mapping[str, str],
    feed: Feed,
    crew: Hands,
    stop: Stop,
    tell: Callable[[Tally], None],
) -> Tally:
    """Read what the feed lists and has no reading under these grounds.

    tell: is called again and again with how it goes. Returns when all is done, or after the first
    interrupt when the photos in hand are. Raises what the listing and the store raise.
    """
    return _Run(store, parts, feed, crew, tell).through(stop)


class _Run:
    def __init__(
        self,
        store: Store,
        parts: Mapping[str, str],
        feed: Feed,
        crew: Hands,
        tell: Callable[[Tally], None],
    ) -> None:
        self._store, self._parts = store, parts
        self._feed, self._crew, self._tell = feed, crew, tell
        self._number = ledger.begin_run(store, parts)
        self._tally = Tally()
        self._next: deque[Waiting] = deque()
        self._last = 0  # turn that was fetched last
        self._hands: dict[Hashable, _InHand] = {}
        self._faults: dict[str, Outcome] = {}  # contents that were given up

    def through(self, stop: Stop) -> Tally:
        tally = self._tally
        while not stop.asked:
            came = self._enter()
            self._hand_out()
            if tally.listing_ended and not self._hands and not self._next:
                break
            listing_s = REST_S if tally.listing_ended else LOOK_S
            self._settle(0.0 if came else listing_s)
            self._tell(tally)
        while self._hands:
            self._settle(REST_S, ending=True)
        tally.complete = tally.listing_ended and tally.settled == tally.to_read
        tally.seconds = time.monotonic() - tally.begun
        return tally

    def _enter(self) -> bool:
        """Enter a handful of what was listed; whether there was one."""
        tally = self._tally
        handful = [] if tally.listing_ended else self._feed.handful()
        if handful:
            with committed(self._store):
                for found in handful:
                    self._enter_one(found)
        elif self._feed.ended and not tally.listing_ended:
            tally.gone = ledger.end_listing(self._store, self._number)
            tally.listing_ended = True
        return bool(handful)

    def _enter_one(self, found: Found) -> None:
        if ledger.was_listed(self._store, found.name, self._number):
            return
        why = ledger.why_to_read(self._store, found, self._parts)
        self._tally.listed += 1
        self._tally.to_read += why is not None
        turn = None if why is None else self._tally.to_read
        ledger.note(self._store, found, self._number, turn, why)

    def _hand_out(self) -> None:
        """Give idle workers what waits; a photo that cost a worker goes alone."""
        while self._crew.has_room and self._fetched():
            photo = self._next[0]
            if photo.turn > SECOND and self._hands:
                return
            self._next.popleft()
            try:
                task = task_of(photo.name, photo.location)
            except PhotoFault as fault:
                with committed(self._store):
                    self._fail(photo, "", unreadable(photo.name, fault))
                continue
            self._hands[self._crew.give(task)] = _InHand(photo)
            if photo.turn > SECOND:
                return

    def _fetched(self) -> bool:
        if not self._next:
            self._next.extend(ledger.next_waiting(self._store, self._last))
            if not self._next and self._tally.listing_ended and self._last < SECOND:
                if self._hands:  # one of them may have to be tried again
                    return False
                self._last = SECOND
                self._next.extend(ledger.next_waiting(self._store, self._last))
            if self._next:
                self._last = self._next[-1].turn
        return bool(self._next)

    def _settle(self, patience: float, ending: bool = False) -> None:
        """Keep what workers tell, in one transaction."""
        happened = list(self._crew.happened(patience))
        if not happened:
            return
        with committed(self._store):
            for hand, message in happened:
                self._heard(hand, message, ending)

    def _heard(self, hand: Hashable, message: Message | Lost, ending: bool) -> None:
        held = self._hands[hand]
        if isinstance(message, Offer):
            digest = message.digest
            wanted = (
                digest not in self._faults
                and all(digest != other.digest for other in self._hands.values())
                and not ledger.has_reading(self._store, digest)
            )
            held.digest = digest if wanted else ""
            self._crew.answer(hand, wanted)
            return
        del self._hands[hand]
        if isinstance(message, Done):
            self._done(held.photo, message)
        elif isinstance(message, Lost):
            self._lost(held, message, ending)

    def _done(self, photo: Waiting, done: Done) -> None:
        if done.outcome is None:  # a copy of one that is read, or was given up
            fault = self._faults.get(done.digest)
        else:
            fault = None if done.stands else done.outcome
        if fault is not None:
            self._fail(photo, done.digest, fault)
            return
        if done.outcome is not None:
            ledger.keep_reading(self._store, done.digest, done.outcome)
            self._tally.read += 1
            if photo.why != NEW:
                self._tally.again[photo.why] += 1
        ledger.settle(self._store, photo.name, done.digest)
        self._tally.settled += 1

    def _lost(self, held: _InHand, lost: Lost, ending: bool) -> None:
        if held.photo.turn < SECOND:
            ledger.put_off(self._store, held.photo)
        elif not ending:
            fault = PhotoFault(f"Reading it {lost.how}, twice.", "Export the photo anew.")
            self._fail(held.photo, held.digest, unreadable(held.photo.name, fault))

    def _fail(self, photo: Waiting, digest: str, outcome: Outcome) -> None:
        """Give a photo up, and all copies of it in this run; the next run tries them again."""
        if digest:
            self._faults[digest] = outcome
        ledger.settle_fault(self._store, photo.name, digest, outcome)
        self._tally.settled += 1
