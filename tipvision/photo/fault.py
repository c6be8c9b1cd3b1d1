"""The one error of this station."""

from tipvision.record.reason import Reason, reason


class PhotoFault(Exception):
    """A file that cannot be read as a photo; carries the `cannot_open` reason for the record."""

    def __init__(self, fault: str, mend: str) -> None:
        super().__init__(f"{fault} {mend}")
        self.reason: Reason = reason("cannot_open", fault=fault, mend=mend)
