"""`tipvision demo`: the main job on the photos that ship."""

import argparse

from tipvision.command import READ_OK, WRONG_USAGE, say
from tipvision.command.written import folder_to_write, save_mask, save_report
from tipvision.files import write_whole
from tipvision.reading import read
from tipvision.record.as_json import to_json
from tipvision.report.terminal import one_line
from tipvision.shipped import demo_folder


def run(options: argparse.Namespace) -> int:
    """Read each demo photo; write its report and mask, and all records as JSON Lines."""
    try:
        out = folder_to_write(options.out)
    except OSError as error:
        say(f"error[usage]: {error}")
        return WRONG_USAGE
    assert out is not None
    records = []
    for photo in sorted(demo_folder().glob("*.jpg")):
        for reading in read(str(photo)):
            records.append(to_json(reading))
            page = save_report(reading, out / f"{photo.stem}.html")
            if reading.tips:
                save_mask(reading, out / f"{photo.stem}.mask.png")
            print(f"{one_line(reading)}\n    {page}", flush=True)
    write_whole(out / "records.jsonl", "".join(f"{line}\n" for line in records).encode("utf-8"))
    print(f"Open a report in a browser; the records are in {out / 'records.jsonl'}.")
    return READ_OK
