"""Which photos a reading of several is made of, in words."""

import ntpath

from tipvision.record.reading import Reading
from tipvision.report.words import listed
from tipvision.report.wrap import printable


def same_plug_words(reading: Reading) -> tuple[str, ...]:
    """One sentence on the photos and one on each that did not count; () for a single photo."""
    together = reading.together
    if together is None:
        return ()
    said = f"Photos of this plug read together: {listed([base_name(p) for p in together.photos])}"
    if reading.measurement is not None:
        said += f"; the colour is that of {base_name(reading.pictured)}"
    return (
        f"{said}.",
        *(
            f"{base_name(photo)} did not count: {listed([c.replace('_', ' ') for c in codes])}."
            for photo, codes in together.left_out
        ),
    )


def base_name(photo: str) -> str:
    """Name of a photo without its folders: no report carries those of the machine it was read
    on."""
    if photo == "-":
        return "photo from standard input"
    return printable(ntpath.basename(photo)) or "photo without a name"
