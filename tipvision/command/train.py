"""`tipvision train`: a folder of labelled photos becomes a model with its card."""

import argparse
import sys
from pathlib import Path

from tipvision.colour.illuminants import white_of
from tipvision.command import READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.light.said import Said
from tipvision.light.store import StoreError as LightStoreError
from tipvision.light.store import load
from tipvision.photo.fault import PhotoFault
from tipvision.teaching import store
from tipvision.teaching.card import Card, rate_in_words
from tipvision.teaching.checks import missing
from tipvision.teaching.course import ChecksFailed, gathered, train
from tipvision.teaching.photos import listed
from tipvision.teaching.worth import told


def run(options: argparse.Namespace) -> int:
    """Check, measure, teach, and say whether the new model has earned its place."""
    try:
        said = _said(options)
        name = store.checked_name(options.name or store.next_name())
        labels = None if options.labels is None else Path(options.labels)
        listing = listed(Path(options.folder), labels, options.plug_names)
        progress = _quiet if options.quiet else _progress
        material = gathered(listing, said, progress)
        _say_notes(material.notes, options.quiet)
        _print_counts(material.rows.label.tolist())
        if options.check:
            if line := missing(material.rows.label.tolist(), material.rows.plug):
                print(line)
            return READ_OK
        trained = train(material, name, _light_in_words(options), progress)
    except ChecksFailed as failed:
        _say_notes(failed.notes, options.quiet)
        for fault in failed.faults:
            say(f"error[photos]: {fault}")
        say("Nothing was trained.")
        return WRONG_USAGE
    except PhotoFault as fault:
        say(f"error[{fault.reason.code}]: {fault.reason.text} {fault.reason.remedy}")
        return UNREADABLE
    except (ValueError, LightStoreError) as error:
        say(f"error[usage]: {error}")
        return WRONG_USAGE
    _print_outcome(trained.card)
    say(f"written: {trained.folder / 'card.html'}")
    return READ_OK


def _said(options: argparse.Namespace) -> Said:
    if options.light is not None:
        white_of(options.light)
    stored = None if options.stored_light is None else load(options.stored_light)
    return Said(declared=options.light, stored=stored)


def _light_in_words(options: argparse.Namespace) -> str:
    told = []
    if options.stored_light is not None:
        told.append(f"the stored light {options.stored_light}")
    if options.light is not None:
        told.append(f"the lamp named {options.light}")
    return " and ".join(told) or "what each photo shows, else a guess"


def _print_counts(labels: list[str]) -> None:
    counts = ", ".join(f"{labels.count(name)} {name}" for name in dict.fromkeys(labels))
    print(f"photos that can be learnt from: {len(labels)} ({counts})")


def _print_outcome(card: Card) -> None:
    print(f"model {card.name}, from {card.start}; figures are on plugs that were held out:")
    for rate in card.worth.rates[:4]:
        print(f"  {rate.name}: {rate_in_words(rate)}")
    print(
        f"  overall (macro-F1), {card.name} against {card.rival}: {told(card.comparison.overall)}"
    )
    for label, one in card.comparison.conditions.items():
        print(f"  {label}: {told(one)}")
    if card.doubtful:
        print(f"labels to look at: {card.doubtful} (doubtful.html)")
    if card.comparison.earned:
        print(f"It has earned its place. Let it serve: tipvision models promote {card.name}")
        return
    print(f"It may be tried (tipvision read --model {card.name}), not promoted:")
    for fault in card.comparison.faults:
        print(f"  {fault}")


def _say_notes(notes: tuple[str, ...], quiet: bool) -> None:
    for note in () if quiet else notes:
        say(f"note: {note}")


def _quiet(_what: str, _done: int, _of: int) -> None:
    pass


def _progress(what: str, done: int, of: int) -> None:
    """A counting line on a terminal; a line at the end of each step elsewhere."""
    ended = done == of
    if sys.stderr.isatty():
        print(f"\r{what}: {done} of {of}", end="\n" if ended else "", file=sys.stderr, flush=True)
    elif ended:
        say(f"{what}: {done} of {of}")
