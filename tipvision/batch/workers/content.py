"""The bytes of a photo, wherever it lies, never more than a photo may have."""

from typing import Any

from tipvision.one_line import one_line
from tipvision.photo.fault import PhotoFault
from tipvision.photo.source import MOST_BYTES, held, stream_of


def content_of(location: str, storage: Any = None) -> bytes:
    """All bytes of a file of this machine, or of a path in an fsspec `storage`.

    Raises PhotoFault where there is none, it is no file, is too large or does not open.
    """
    if storage is None:
        try:
            with stream_of(location) as stream:
                return stream.read()
        except OSError as error:  # a folder without rights, a share or disk that fails meanwhile
            fault = f"The file cannot be read: {error.strerror or error}."
            raise PhotoFault(fault, "Check its folder, its rights and its disk.") from error
    try:
        with storage.open(location, "rb") as stream:
            content: bytes = stream.read(MOST_BYTES + 1)
    except FileNotFoundError as error:
        raise PhotoFault("There is no such file.", "Check the name and the folder.") from error
    except Exception as error:  # storages raise errors of their own packages
        fault = f"The storage does not give the file: {one_line(error)}."
        raise PhotoFault(fault, "Try later.") from error
    return held(content).getvalue()
