"""How the tool does on photos that nobody here made for it.

`python -m pipelines.bench.outside --outside DIR [--part look|count]` reads every photo that
`DIR/index.jsonl` lists (keys: file; plug or label; condition or label; mask or nose_outline) and
prints what came out. It measures; nothing is tuned on these photos.
"""

import argparse
import collections
import json
import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.bench.intervals import rate_line
from tipvision.condition.condition import CONDITIONS
from tipvision.reading import read
from tipvision.record.as_json import to_record
from tipvision.record.check import faults_of
from tipvision.record.reading import Reading
from tipvision.tip.labels import mask_image
from tipvision.tip.tip import Part


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--outside", type=Path, required=True, metavar="DIR")
    parser.add_argument("--part", choices=("look", "count"), help="only the rows of this part")
    parser.add_argument("-v", "--verbose", action="store_true", help="a line a photo")
    options = parser.parse_args()
    try:
        rows = rows_of(options.outside, options.part)
    except ValueError as error:
        print(f"error: {error}", file=sys.stderr)
        return 1
    counts: collections.Counter[str] = collections.Counter()
    overlaps: list[float] = []
    for row in rows:
        readings = read(str(options.outside / row["file"]))
        count_one(row, readings[0], options.outside, counts, overlaps)
        if options.verbose:
            reasons = ",".join(r.code for r in readings[0].reasons)
            print(row["file"], row_says(row), "->", readings[0].outcome, reasons)
    report(len(rows), counts, overlaps)
    return 0


def rows_of(folder: Path, part: str | None) -> list[dict[str, Any]]:
    """Rows of `folder/index.jsonl`, of one part or of all.

    Raises ValueError where it is missing or a line is no row.
    """
    path = folder / "index.jsonl"
    try:
        rows = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
        return [row for row in rows if part in (None, row.get("part"))]
    except OSError as error:
        raise ValueError(f"{path}: {error.strerror}. Name a folder that holds it.") from error
    except (ValueError, AttributeError) as error:
        raise ValueError(f"{path}: a line is no JSON object. Correct it.") from error


def row_says(row: dict[str, Any]) -> str | None:
    """The condition a row claims, "none" where only a finding describes the plug, "not_a_plug", or
    None where the row leaves the plug open."""
    if row.get("plug") is False or row.get("label") in ("not_a_plug", "chart"):
        return "not_a_plug"
    if row.get("finding") and not row.get("condition"):
        return "none"
    claimed = row.get("condition", row.get("label"))
    return claimed if claimed in CONDITIONS else None


def count_one(
    row: dict[str, Any],
    reading: Reading,
    folder: Path,
    counts: "collections.Counter[str]",
    overlaps: list[float],
) -> None:
    says = row_says(row)
    counts[f"outcome {reading.outcome}"] += 1
    counts["invalid records"] += bool(faults_of(to_record(reading)))
    if says == "not_a_plug":
        counts["pictures without a plug"] += 1
        counts["false plugs"] += bool(reading.tips)
        return
    counts["plugs"] += 1
    counts["called not a plug"] += reading.outcome == "not_a_plug"
    truth = true_nose(row, folder)
    if truth is not None and len(reading.tips) == 1 and reading.size is not None:
        overlaps.append(overlap(reading, *truth))
    if says in CONDITIONS and reading.condition is not None:
        told = reading.condition.probabilities
        counts["with a condition"] += 1
        counts["likeliest right"] += max(told, key=lambda label: told[label]) == says
    if says is not None and reading.outcome == "read" and reading.condition is not None:
        counts["answered"] += 1
        counts["answered right"] += reading.condition.label == says


def true_nose(
    row: dict[str, Any], folder: Path
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]] | None:
    """(nose, pixels that do not count) of the row's mask or outline, displayed size."""
    if row.get("mask"):
        mask = cv2.imread(str(folder / row["mask"]), cv2.IMREAD_GRAYSCALE)
        return mask == 255, mask == 128
    if row.get("nose_outline"):
        width, height = row["size"]
        nose = np.zeros((height, width), np.uint8)
        cv2.fillPoly(nose, [np.int32(row["nose_outline"])], 1)
        return nose > 0, np.zeros_like(nose, bool)
    return None


def overlap(reading: Reading, nose: NDArray[np.bool_], ignored: NDArray[np.bool_]) -> float:
    """Intersection over union of the nose found and the true one."""
    assert reading.size is not None
    found_labels = mask_image(reading.tips, reading.size)
    found = ((found_labels == Part.NOSE) | (found_labels == Part.GLARE)) & ~ignored
    union = (found | nose).sum()
    return float((found & nose).sum() / union) if union else 0.0


def report(count: int, counts: "collections.Counter[str]", overlaps: list[float]) -> None:
    print(f"photos: {count}, invalid records: {counts['invalid records']}")
    for outcome in ("read", "unclear", "not_a_plug", "unreadable"):
        print(f"  {outcome}: {counts[f'outcome {outcome}']}")
    plugs, others = counts["plugs"], counts["pictures without a plug"]
    print(rate_line("plugs with one tip found and a true outline", len(overlaps), plugs))
    if overlaps:
        print(f"  overlap with the true nose: mean {np.mean(overlaps):.2f}, n {len(overlaps)}")
        good = sum(o >= 0.5 for o in overlaps)
        print("  " + rate_line("overlap of at least 0.5", good, len(overlaps)))
    print(rate_line("plugs called not a plug", counts["called not a plug"], plugs))
    print(rate_line("answers given (outcome read)", counts["answered"], plugs))
    print(rate_line("answers that were right", counts["answered right"], counts["answered"]))
    likely, known = counts["likeliest right"], counts["with a condition"]
    print(
        rate_line(
            "likeliest condition right, of plugs that have one, answered or not", likely, known
        )
    )
    print(rate_line("pictures without a plug where one was seen", counts["false plugs"], others))


if __name__ == "__main__":
    sys.exit(main())
