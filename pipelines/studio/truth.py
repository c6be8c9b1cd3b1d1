"""The truth of each photo: masks, and a manifest that is checked whenever it is read."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from math import isfinite
from pathlib import Path
from typing import Any

from pipelines.studio.plug import CONDITIONS

MASK_LABELS = {
    0: "none of these",
    1: "nose",
    2: "nose, in glare",
    3: "nose, more than 3 mm below the rim",
    4: "centre electrode",
    5: "strap",
    6: "shell, gasket and hexagon",
    7: "upper insulator and terminal",
}
"""Values of a mask, an 8-bit picture in the displayed frame. 1 and 2 together are the nose."""

VIEWS = ("end_on", "oblique", "side")
ONLY_WITH_PLUG = (
    "condition",
    "shares",
    "view",
    "view_degrees",
    "nose_lab",
    "shine",
    "nose_px",
    "px_per_mm",
    "gap_mm",
    "mask",
)
"""Fields that are null in a photo without a plug."""

BALANCES = ("right", "partial", "wrong")


class ManifestError(ValueError):
    """A manifest that says something impossible; the message names file, line and field."""


@dataclass(frozen=True)
class PhotoTruth:
    """What is known of one photo. Pixels are those of the photo as displayed.

    `nose_lab` is CIELAB under D65/2° of the mean reflectance, gloss excluded, over the nose that
    shows above 3 mm below the rim; `shares` how much of each condition the plug is (sums to 1);
    `shine` the share of that nose under a wet or glazed film; `nose_px` its width across. Colour
    and shine are null where no nose shows; `px_per_mm` the scale at the nose; `gap_mm` null where a
    strap is gone or bent away; `light` names both illuminants of mixed light, joined by +;
    `card_corners` the bench card's corners TL, TR, BR, BL.
    """

    file: str
    seed: int
    size: tuple[int, int]
    exif_orientation: int
    camera: str
    light: str
    white_balance: str
    plug: bool
    condition: str | None
    shares: dict[str, float] | None
    findings: tuple[str, ...]
    view: str | None
    view_degrees: float | None
    nose_lab: tuple[float, float, float] | None
    shine: float | None
    nose_px: float | None
    px_per_mm: float | None
    gap_mm: float | None
    reference: str | None
    card_corners: tuple[tuple[float, float], ...] | None
    mask: str | None


def write_manifest(path: Path, photos: Sequence[PhotoTruth]) -> None:
    """One JSON object a line, in the order given."""
    text = "".join(json.dumps(asdict(photo)) + "\n" for photo in photos)
    path.write_text(text, encoding="utf-8")


def read_manifest(path: Path, check_files: bool = True) -> list[PhotoTruth]:
    """Read and check a manifest; photos and masks are looked for beside it.

    Raises ManifestError at the first line that does not hold.
    """
    out: list[PhotoTruth] = []
    names: set[str] = set()
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        where = f"{path.name}, line {number}"
        try:
            raw = json.loads(line)
        except json.JSONDecodeError as error:
            raise ManifestError(f"{where}: not JSON ({error.msg}). Make the set again.") from error
        photo = truth_from(raw, where)
        if photo.file in names:
            raise ManifestError(f"{where}: {photo.file} is listed twice. Make the set again.")
        names.add(photo.file)
        for name in (photo.file, photo.mask):
            if check_files and name is not None and not (path.parent / name).is_file():
                raise ManifestError(f"{where}: {name} is not beside the manifest.")
        out.append(photo)
    return out


def truth_from(raw: Any, where: str) -> PhotoTruth:
    """Check what was read from JSON; `where` begins the message of the ManifestError raised."""
    if not isinstance(raw, dict):
        raise ManifestError(f"{where}: a line must be a JSON object.")
    known = {f.name for f in fields(PhotoTruth)}
    if missing := known - raw.keys():
        raise ManifestError(f"{where}: fields missing: {', '.join(sorted(missing))}.")
    if extra := raw.keys() - known:
        raise ManifestError(f"{where}: unknown fields: {', '.join(sorted(extra))}.")

    def hold(good: bool, field: str, rule: str) -> None:
        if not good:
            raise ManifestError(f"{where}: {field} is {raw[field]!r}; it must be {rule}.")

    hold(isinstance(raw["file"], str) and raw["file"] != "", "file", "a file name")
    hold(_whole(raw["seed"]) and raw["seed"] >= 0, "seed", "a whole number from 0")
    size = raw["size"]
    hold(_numbers(size, 2) and all(_whole(v) and v > 0 for v in size), "size", "width, height")
    hold(raw["exif_orientation"] in (1, 3, 6, 8), "exif_orientation", "1, 3, 6 or 8")
    hold(raw["white_balance"] in BALANCES, "white_balance", f"one of {', '.join(BALANCES)}")
    hold(isinstance(raw["light"], str) and raw["light"] != "", "light", "an illuminant's name")
    hold(isinstance(raw["camera"], str), "camera", "a camera's letter")
    hold(isinstance(raw["plug"], bool), "plug", "true or false")
    hold(isinstance(raw["findings"], list), "findings", "a list")
    if not raw["plug"]:
        for field in ONLY_WITH_PLUG:
            hold(raw[field] is None, field, "null in a photo without a plug")
    else:
        _check_plug(raw, hold)
    corners = raw["card_corners"]
    hold(
        corners is None or (isinstance(corners, list) and len(corners) == 4),
        "card_corners",
        "four points or null",
    )
    if corners is not None:
        hold(all(_numbers(c, 2) for c in corners), "card_corners", "four points of two numbers")
        hold(raw["reference"] == "bench_card", "reference", "bench_card when corners are given")
    return PhotoTruth(
        **{
            **raw,
            "size": tuple(size),
            "findings": tuple(raw["findings"]),
            "nose_lab": None if raw["nose_lab"] is None else tuple(raw["nose_lab"]),
            "card_corners": None if corners is None else tuple(tuple(c) for c in corners),
        }
    )


def _check_plug(raw: dict[str, Any], hold: Any) -> None:
    condition = raw["condition"]
    hold(
        condition in CONDITIONS or (condition is None and len(raw["findings"]) > 0),
        "condition",
        f"one of {', '.join(CONDITIONS)}, or null with a finding",
    )
    shares = raw["shares"]
    hold(
        isinstance(shares, dict)
        and all(k in CONDITIONS and _number(v) and 0 <= v <= 1 for k, v in shares.items())
        and abs(sum(shares.values()) - (0.0 if condition is None else 1.0)) < 1e-3,
        "shares",
        "shares of conditions that sum to 1, or empty without a condition",
    )
    hold(raw["view"] in VIEWS, "view", f"one of {', '.join(VIEWS)}")
    hold(_number(raw["view_degrees"]) and 0 <= raw["view_degrees"] <= 180, "view_degrees", "0–180")
    lab, shine, gap = raw["nose_lab"], raw["shine"], raw["gap_mm"]
    hold(
        lab is None
        or (_numbers(lab, 3) and 0 <= lab[0] <= 100 and all(abs(v) <= 128 for v in lab[1:])),
        "nose_lab",
        "CIELAB with L* from 0 to 100, or null where no nose shows",
    )
    hold((shine is None) == (lab is None), "shine", "there when nose_lab is")
    hold(shine is None or (_number(shine) and 0 <= shine <= 1), "shine", "0–1")
    for field in ("nose_px", "px_per_mm"):
        hold(_number(raw[field]) and raw[field] > 0, field, "a positive number")
    hold(
        gap is None or (_number(gap) and gap >= 0),
        "gap_mm",
        "a number from 0, or null where a strap is gone or bent away",
    )
    hold(isinstance(raw["mask"], str), "mask", "a file name")


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _numbers(value: object, n: int) -> bool:
    return isinstance(value, list) and len(value) == n and all(_number(v) for v in value)
