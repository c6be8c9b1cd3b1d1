"""What a reading leaves on disk: reports and masks, never half written, never over each other."""

from pathlib import Path, PurePath
from typing import TYPE_CHECKING

import cv2

from tipvision.files import write_whole
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import STANDARD_INPUT, open_photo
from tipvision.record.reading import Reading
from tipvision.report.engine_words import NOTHING_TOLD, EngineWords
from tipvision.report.shop import Shop
from tipvision.tip.labels import mask_image

if TYPE_CHECKING:
    from tipvision.report.contents import Shown

TRIAL = ".tipvision-trial"  # an empty file that shows whether a folder takes files
LONGEST_NAME = 120  # letters: file systems allow 255 bytes, a letter may take four of half of them


class OutputNames:
    """Names for the files of each reading, none given twice in one run."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def of(self, reading: Reading) -> str:
        """The photo's base name (of the one that the masks are of), with `.2` for its second plug,
        and `-2` where that is taken."""
        piped = reading.pictured == STANDARD_INPUT
        stem = "standard-input" if piped else PurePath(reading.pictured).stem or "photo"
        plug = reading.plug[0] if reading.plug is not None else None
        end = "" if plug in (None, 1) else f".{plug}"
        name, number = f"{stem[:LONGEST_NAME]}{end}", 1
        while name.casefold() in self._taken:
            number += 1
            name = f"{stem[:LONGEST_NAME]}-{number}{end}"
        self._taken.add(name.casefold())
        return name


def folder_to_write(name: str | None) -> Path | None:
    """The folder, made where it is missing; OSError when it takes no files."""
    if name is None:
        return None
    folder = Path(name)
    if folder.exists() and not folder.is_dir():
        raise OSError(f"{name} is a file. Give a folder to write to.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(folder / TRIAL, b"")
        (folder / TRIAL).unlink()
    except OSError as error:
        raise OSError(f"The folder {name} cannot be written to: {error.strerror}.") from error
    return folder


def save_report(
    reading: Reading, path: Path, shop: Shop | None = None, engine: EngineWords = NOTHING_TOLD
) -> Path:
    """Write the HTML report of a reading, with its photo where that can be opened."""
    from tipvision.report.page import write_report  # Jinja2 is only for who wants a page

    shown = shown_with_photo(reading)
    write_report(reading, shown.picture, path, shown.taken, shop, engine)
    return path


def shown_with_photo(reading: Reading) -> "Shown":
    """The reading with its photo, reduced, and the time it was taken."""
    from tipvision.report.contents import Shown  # only for who wants a report

    if reading.outcome == "unreadable" or reading.pictured == STANDARD_INPUT:
        return Shown(reading)
    try:
        photo = open_photo(reading.pictured)
        return Shown(reading, photo.overview(), photo.metadata.taken)
    except PhotoFault:  # gone since it was read: the report stands without its picture
        return Shown(reading)


def save_mask(reading: Reading, path: Path) -> Path:
    """Write what was taken for nose, electrode, strap and shell: 8-bit PNG, displayed size."""
    assert reading.size is not None
    done, png = cv2.imencode(".png", mask_image(reading.tips, reading.size))
    assert done
    write_whole(path, png.tobytes())
    return path
