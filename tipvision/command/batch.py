"""`tipvision batch`: all photos of a folder, on all cores, with a store to go on from."""

import argparse
import math
import os
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from tipvision.batch.run import run_through
from tipvision.batch.sources.belonging import compiled
from tipvision.batch.sources.feed import Feed
from tipvision.batch.sources.found import PassedOver, StorageFault
from tipvision.batch.sources.listing import Asked, listed
from tipvision.batch.stop import orderly
from tipvision.batch.store.entries import entries
from tipvision.batch.store.grounds import grounds_of
from tipvision.batch.store.ledger import NEW, why_to_read
from tipvision.batch.store.out_folder import STORE_FILE, OutFault, locked, usual_out
from tipvision.batch.store.store import Store, opened
from tipvision.batch.telling.progress import Progress
from tipvision.batch.telling.summary import summary_of, write_summary
from tipvision.batch.telling.summary_words import summary_lines
from tipvision.batch.telling.tally import Tally
from tipvision.batch.views.sheet_pages import SHEET
from tipvision.batch.views.write import left_out, write_views
from tipvision.batch.workers.cluster import Cluster
from tipvision.batch.workers.crew import Crew
from tipvision.batch.workers.hands import CrewFault, Hands
from tipvision.batch.workers.read_one import prepared
from tipvision.command import INTERRUPTED, READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.command.asked import ask_of, chosen_model
from tipvision.command.written import folder_to_write
from tipvision.light.store import StoreError
from tipvision.report.shop import load_shop
from tipvision.teaching.store import in_use

STOPPING = "\nstopping: the photos in hand are finished and kept; once more stops at once.\n"


def run(options: argparse.Namespace) -> int:
    """Read what has no reading yet, keep it, and write the views of all that is kept."""
    try:
        asked = _asked(options)
        if options.cluster is not None and options.workers is not None:
            raise ValueError("--workers are of this machine, --cluster reads elsewhere: give one.")
        workers, longest = _workers(options.workers), _seconds(options.longest)
        ask, model = ask_of(options), chosen_model(options)
        parts = grounds_of(ask, options.model or in_use().name)
        if options.dry_run:
            return _dry_run(asked, parts, options.quiet)
        prepare = partial(prepared, ask, model)
        if options.cluster is None:
            hands: Hands = Crew(prepare, workers, longest)
        else:
            hands = Cluster(options.cluster, prepare, longest)
        return _read(asked, parts, hands, options.quiet)
    except KeyboardInterrupt:
        say("stopped at once: what was read is kept, its views are not; the same command goes on.")
        return INTERRUPTED
    except (OutFault, CrewFault, StorageFault) as error:
        say(f"error[batch]: {error}")
        return UNREADABLE
    except (ValueError, StoreError) as error:
        say(f"error[usage]: {error}")
        return WRONG_USAGE


def _read(asked: Asked, parts: Mapping[str, str], hands: Hands, quiet: bool) -> int:
    assert asked.out is not None
    passed, progress = PassedOver(), Progress(sys.stderr)
    photos = listed(asked, passed)  # tells what is not there before anything is made
    try:
        folder_to_write(str(asked.out))
    except OSError as error:
        raise ValueError(f"{error} --out names another folder.") from error
    hint = "" if quiet else STOPPING
    with locked(asked.out), opened(asked.out) as store, orderly(hint) as stop:
        try:
            with hands, Feed(photos) as feed:
                tell = _silent if quiet else progress
                tally = run_through(store, parts, feed, hands, stop, tell)
        finally:
            progress.end()
        summary = summary_of(store, tally, passed)
        write_summary(asked.out, summary)
        write_views(asked.out, partial(entries, store), summary, load_shop())
    if not quiet:  # last of all: whoever reads it may close the pipe
        for line in summary_lines(summary):
            print(_on_one_line(line), flush=True)
        for line in left_out():
            say(f"note: {line}")
        if not summary["photos"]:
            say(f"note: no photo was found in {', '.join([*asked.sources, *asked.lists])}.")
        say(f"written: {asked.out} (open {SHEET} there in a browser)")
    if not tally.complete:
        left = f"{summary['states']['skipped']:,}{'' if tally.listing_ended else ' or more'}"
        say(f"stopped: {left} photos are left; the same command goes on.")
        return INTERRUPTED
    return UNREADABLE if summary["states"]["unreadable"] or passed.folders else READ_OK


def _silent(_: Tally) -> None:
    pass


def _dry_run(asked: Asked, parts: Mapping[str, str], quiet: bool) -> int:
    """Print each photo after why it would be read, or "stands"; nothing is written."""
    passed, counts = PassedOver(), Counter[str]()
    with _looked_into(asked.out) as store:
        for found in listed(asked, passed):
            why = NEW if store is None else why_to_read(store, found, parts) or "stands"
            counts[why] += 1
            print(f"{why}\t{_on_one_line(found.name)}")
    if not quiet:
        told = ", ".join(f"{count:,} {why}" for why, count in sorted(counts.items()))
        say(f"photos: {counts.total():,}" + (f" ({told})" if told else ""))
        for line in passed.folders:
            say(f"could not be listed: {line}")
    return READ_OK


@contextmanager
def _looked_into(out: Path | None) -> Iterator[Store | None]:
    """The store of a batch, to read; None where there is none yet."""
    if out is None or not (out / STORE_FILE).exists():
        yield None
        return
    with opened(out, to_write=False) as store:
        yield store


def _asked(options: argparse.Namespace) -> Asked:
    if not options.sources and not options.lists:
        raise ValueError("Nothing is named to read: give a folder, or --list FILE.")
    pattern = None if options.pattern is None else compiled(options.pattern)
    out = usual_out(options.sources) if options.out is None else Path(options.out)
    return Asked(tuple(options.sources), tuple(options.lists), pattern, out)


def _workers(text: str | None) -> int:
    if text is None:
        has_affinity = hasattr(os, "sched_getaffinity")
        return len(os.sched_getaffinity(0)) if has_affinity else os.cpu_count() or 1
    if not text.isdecimal() or not 1 <= int(text) <= 1024:
        raise ValueError(f"--workers takes a number from 1 to 1024, not '{text}'.")
    return int(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = math.nan
    if not 0 < seconds < math.inf:
        raise ValueError(f"--longest takes seconds above 0, not '{text}'.")
    return seconds


def _on_one_line(name: str) -> str:
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in name)
