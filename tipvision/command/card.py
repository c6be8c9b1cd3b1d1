"""`tipvision card`: the bench card, ready to print."""

import argparse
import io
import sys
from pathlib import Path

from tipvision.bench_card.draw import draw_card
from tipvision.command import READ_OK, WRONG_USAGE, say
from tipvision.files import write_whole


def run(options: argparse.Namespace) -> int:
    """Write the PDF to the file asked for ("-" is standard output)."""
    pdf = io.BytesIO()
    draw_card(pdf)
    if options.out == "-":
        sys.stdout.buffer.write(pdf.getvalue())
        return READ_OK
    try:
        write_whole(Path(options.out), pdf.getvalue())
    except OSError as error:
        say(f"error[usage]: {options.out} cannot be written: {error.strerror}.")
        return WRONG_USAGE
    say(f"written: {options.out} (print it at 100 %)")
    return READ_OK
