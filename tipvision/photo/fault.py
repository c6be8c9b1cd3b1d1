"""The one error of this station."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from tipvision.record.reason import Reason, reason

AGAIN = "Copy it from the phone again, or take the photo again."


class PhotoFault(Exception):
    """A file that cannot be read as a photo; carries the `cannot_open` reason for the record."""

    def __init__(self, fault: str, mend: str) -> None:
        super().__init__(f"{fault} {mend}")
        self.reason: Reason = reason("cannot_open", fault=fault, mend=mend)


def damaged(kind: str) -> PhotoFault:
    return PhotoFault(f"The {kind} file is truncated or damaged.", AGAIN)


@contextmanager
def damage_as_fault(kind: str) -> Iterator[None]:
    """Whatever a decoder of that kind raises for the bytes it is given becomes one PhotoFault, and
    what it would only warn of is kept from the screen."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except PhotoFault:
        raise
    except MemoryError as error:
        raise PhotoFault(
            f"There is not enough memory to read this {kind} picture.", "Export it smaller."
        ) from error
    except Exception as error:  # each decoder has its own, and damaged bytes find them all
        raise damaged(kind) from error
