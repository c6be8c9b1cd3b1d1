"""`tipvision check`: are these records valid?"""

import argparse
import json
import sys
from pathlib import Path

from tipvision.command import READ_OK, UNREADABLE, say
from tipvision.record.check import faults_in


def run(options: argparse.Namespace) -> int:
    """Check each line of the file; every fault goes to standard error with its line number."""
    try:
        if options.records == "-":
            text = sys.stdin.read()
        else:
            text = Path(options.records).read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        fault = getattr(error, "strerror", None) or "it is not UTF-8 text"
        say(f"error[cannot_open]: {options.records}: {fault}. Give a file of records.")
        return UNREADABLE
    lines = [(n, line) for n, line in enumerate(text.split("\n"), 1) if line.strip()]
    if whole := _one_document(text, len(lines)):
        say(f"error[record]: {options.records}: it is {whole}. Give a file of one record a line.")
        return UNREADABLE
    bad = 0
    for number, line in lines:
        faults = faults_in(line)
        bad += bool(faults)
        for fault in faults:
            say(f"error[record]: {options.records}:{number}: {fault}")
    print(f"{len(lines)} records, {len(lines) - bad} valid, {bad} not")
    return UNREADABLE if bad else READ_OK


def _one_document(text: str, lines: int) -> str | None:
    """What the whole file is where it is a report, or a JSON document over several lines."""
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        return None
    if isinstance(document, dict) and "report" in document:
        return "a report, not a file of records"
    return "one JSON document over several lines, not a file of records" if lines > 1 else None
