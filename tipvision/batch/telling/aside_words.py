"""What a batch came by and does not count, in sentences: nothing is dropped without a word."""

from collections.abc import Iterator, Mapping
from typing import Any

from tipvision.report.words import listed
from tipvision.report.wrap import printable


def aside_words(summary: Mapping[str, Any], most: int) -> Iterator[str]:
    """A sentence each on files passed over, photos gone, and at most so many folders that could not
    be listed."""
    run: Mapping[str, Any] = summary.get("run", {})
    if passed := run.get("passed_over"):
        kinds = listed([f"{count:,} {printable(kind)}" for kind, count in passed.items()])
        yield f"Passed over, no photos: {sum(passed.values()):,} ({kinds})."
    if gone := run.get("gone"):
        yield f"Gone since the last run: {gone:,}; their readings are kept, not counted."
    folders = run.get("not_listed", ())
    for line in folders[:most]:
        yield f"Could not be listed: {printable(line)}"
    if len(folders) > most:
        yield f"Could not be listed: {len(folders) - most:,} more folders, in summary.json."
