"""Photos read one after the other, and what is to be said of each on standard error."""

import argparse
from collections.abc import Iterator

from tipvision.command import say
from tipvision.command.copies import once_each
from tipvision.condition.model import Model
from tipvision.reading import Ask, read
from tipvision.record.reading import Reading
from tipvision.same_plug import same_plug


def read_in_turn(
    options: argparse.Namespace, ask: Ask, model: Model
) -> Iterator[tuple[tuple[Reading, ...], bool]]:
    """The readings of each photo, or with --same-plug the one of all, and whether every photo
    could be opened; what is to be said of the photos is said.

    Raises OutlineError or LightError when what was asked does not fit a photo.
    """
    held: list[Reading] = []
    opened = True
    photos, copies = once_each(options.photos) if options.same_plug else (options.photos, ())
    for copy, of in () if options.quiet else copies:
        say(f"note: {copy}: a copy of {of}, so it is no second witness and counts once.")
    for photo in photos:
        readings = read(photo, ask, model)
        if not options.quiet:
            _say_notes(readings[0])
        faults = [reading for reading in readings if reading.outcome == "unreadable"]
        for reading in faults:
            _say_fault(reading)
        if options.same_plug:
            held.extend(readings)
            opened = opened and not faults
        else:
            yield readings, not faults
    if options.same_plug:
        one = same_plug(held, ask, model)
        if not options.quiet:
            _say_left_out(one)
        yield (one,), opened


def _say_fault(reading: Reading) -> None:
    """Why a photo could not be opened, on standard error."""
    (reason,) = reading.reasons
    say(f"error[{reason.code}]: {reading.photo}: {reason.text} {reason.remedy}")


def _say_notes(reading: Reading) -> None:
    """What a person should know of the light, on standard error."""
    for note in () if reading.light is None else reading.light.notes:
        say(f"note: {reading.photo}: {note}")


def _say_left_out(reading: Reading) -> None:
    """Which photos of a plug did not count, on standard error."""
    for photo, codes in () if reading.together is None else reading.together.left_out:
        if "cannot_open" not in codes:  # said already
            say(f"note: {photo}: left out of the reading ({', '.join(codes)}).")
