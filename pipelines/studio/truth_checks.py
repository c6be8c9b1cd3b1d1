"""Checks of what was read from a manifest's JSON: types, ranges, and what goes with what."""

from collections.abc import Sequence
from math import inf, isfinite, isinf
from typing import Any

from pipelines.studio.plug import CONDITIONS

VIEWS = ("end_on", "oblique", "side")
BALANCES = ("right", "partial", "wrong")
REFERENCES = ("chart", "grey_card", "bench_card")
LOOK_ALIKES = ("tile_grid", "calculator", "carton")
STATES = ("whole", "cut_off", "tilted", "shaded", "covered")
MOST_PLUGS = 4


class ManifestError(ValueError):
    """A manifest that says something impossible; the message names file, line and field."""


def keys_of(raw: Any, wanted: Sequence[str], where: str, what: str) -> dict[str, Any]:
    """The JSON object, once its fields are found to be exactly those wanted."""
    if not isinstance(raw, dict):
        raise ManifestError(f"{where}: {what} must be a JSON object, not {raw!r}.")
    if missing := set(wanted) - raw.keys():
        raise ManifestError(f"{where}: {what} lacks fields: {', '.join(sorted(missing))}.")
    if extra := raw.keys() - set(wanted):
        raise ManifestError(f"{where}: {what} has unknown fields: {', '.join(sorted(extra))}.")
    return raw


class Fields:
    """The fields of one JSON object, `path` being its place in the line ("plugs[0]." or "")."""

    def __init__(self, raw: dict[str, Any], where: str, path: str = "") -> None:
        self.raw, self.where, self.path = raw, where, path

    def hold(self, good: bool, field: str, rule: str) -> None:
        """Raise ManifestError unless `good`."""
        if not good:
            value = self.raw[field]
            raise ManifestError(
                f"{self.where}: {self.path}{field} is {value!r}; it must be {rule}."
            )

    def number(self, field: str, low: float, high: float, null: bool = False) -> None:
        """A number from `low` to `high`."""
        value = self.raw[field]
        good = null if value is None else _number(value) and low <= value <= high
        rule = f"a number from {low:g}" + ("" if isinf(high) else f" to {high:g}")
        self.hold(good, field, rule + (" or null" if null else ""))

    def text(self, field: str, null: bool = False) -> None:
        """A string that is not empty."""
        value = self.raw[field]
        good = null if value is None else isinstance(value, str) and value != ""
        self.hold(good, field, "a text" + (" or null" if null else ""))

    def one_of(self, field: str, known: Sequence[object]) -> None:
        """One of the known values."""
        self.hold(self.raw[field] in known, field, f"one of {', '.join(map(str, known))}")

    def listed(self, field: str) -> list[Any]:
        """A list."""
        value = self.raw[field]
        self.hold(isinstance(value, list), field, "a list")
        return value  # type: ignore[no-any-return]


def check_photo(f: Fields) -> None:
    """The fields of a photo but for what its lists hold."""
    raw = f.raw
    f.text("file")
    f.hold(_whole(raw["seed"]) and raw["seed"] >= 0, "seed", "a whole number from 0")
    f.hold(
        _numbers(raw["size"], 2) and all(_whole(v) and v > 0 for v in raw["size"]),
        "size",
        "width and height in whole pixels",
    )
    f.one_of("exif_orientation", (1, 3, 6, 8))
    f.text("camera")
    f.one_of("white_balance", BALANCES)
    stored = raw["stored_light"]
    f.hold(stored is None or isinstance(stored, dict), "stored_light", "an object or null")
    f.text("mask", null=True)
    plugs = f.listed("plugs")
    f.hold(len(plugs) <= MOST_PLUGS, "plugs", f"at most {MOST_PLUGS} plugs")
    f.hold(raw["mask"] is not None or not plugs, "mask", "a file name where there is a plug")
    f.listed("references")
    f.hold(len(f.listed("light")) > 0, "light", "a list of at least one illuminant")


def check_taken(f: Fields) -> None:
    """How the camera took it."""
    f.number("ev", -6, 6)
    f.number("blur_px", 0, inf)
    f.number("local_tone", 0, 1)
    f.number("jpeg", 1, 100)


def check_light(f: Fields) -> None:
    """One illuminant of the light."""
    f.text("illuminant")
    f.number("share", 0, 1)


def check_plug(f: Fields, size: Sequence[int]) -> None:
    """One plug, in a photo of that size."""
    raw, condition = f.raw, f.raw["condition"]
    findings = f.listed("findings")
    f.hold(all(isinstance(v, str) for v in findings), "findings", "a list of texts")
    f.hold(
        condition in CONDITIONS or (condition is None and len(findings) > 0),
        "condition",
        f"one of {', '.join(CONDITIONS)}, or null with a finding",
    )
    shares = raw["shares"]
    f.hold(
        isinstance(shares, dict)
        and all(k in CONDITIONS and _number(v) and 0 <= v <= 1 for k, v in shares.items())
        and abs(sum(shares.values()) - (0.0 if condition is None else 1.0)) < 1e-3,
        "shares",
        "shares of conditions that sum to 1, or empty without a condition",
    )
    f.hold(
        condition is None or shares.get(condition, 0.0) >= max(shares.values()),
        "condition",
        "the one with the greatest share",
    )
    f.one_of("view", VIEWS)
    f.number("view_degrees", 0, 180)
    lab = raw["nose_lab"]
    f.hold(
        lab is None
        or (_numbers(lab, 3) and 0 <= lab[0] <= 100 and all(abs(v) <= 128 for v in lab[1:])),
        "nose_lab",
        "CIELAB with L* from 0 to 100, or null where no nose shows",
    )
    f.number("shine", 0, 1, null=True)
    f.hold((raw["shine"] is None) == (lab is None), "shine", "there when nose_lab is")
    for field in ("nose_px", "px_per_mm"):
        f.hold(_number(raw[field]) and raw[field] > 0, field, "a positive number")
    f.number("gap_mm", 0, inf, null=True)
    f.text("family")
    f.text("palette", null=True)
    box = raw["box"]
    f.hold(box is None or _box_within(box, size), "box", "left, top, width, height in the photo")


def check_reference(f: Fields) -> None:
    """One reference or look-alike."""
    f.one_of("kind", (*REFERENCES, *LOOK_ALIKES))
    _check_corners(f)
    state = f.listed("state")
    good = all(v in STATES for v in state) and len(set(state)) == len(state)
    f.hold(
        good and ("whole" in state) != ("cut_off" in state),
        "state",
        f"some of {', '.join(STATES)}, either whole or cut_off among them",
    )


def check_stored(f: Fields, camera: str) -> None:
    """The chart photo of a stored light that goes with a photo of that camera."""
    f.text("lamp")
    f.text("file")
    f.hold(f.raw["camera"] == camera, "camera", f"the photo's own, {camera}")
    corners = _check_corners(f)
    f.hold(all(v >= 0 for c in corners for v in c), "corners", "within the chart photo")
    # A quadrilateral read clockwise, y downwards, turns right at each corner.
    turns = []
    for k in range(4):
        (ax, ay), (bx, by), (cx, cy) = (corners[(k + j) % 4] for j in range(3))
        turns.append((bx - ax) * (cy - by) - (by - ay) * (cx - bx))
    f.hold(all(turn > 0 for turn in turns), "corners", "a chart read clockwise, not in a mirror")


def _check_corners(f: Fields) -> list[Any]:
    corners = f.listed("corners")
    f.hold(
        len(corners) == 4 and all(_numbers(c, 2) for c in corners),
        "corners",
        "four points of two numbers",
    )
    return corners


def _box_within(box: Any, size: Sequence[int]) -> bool:
    if not _numbers(box, 4) or not all(_whole(v) for v in box):
        return False
    left, top, width, height = box
    inside = left >= 0 and top >= 0 and left + width <= size[0] and top + height <= size[1]
    return bool(inside and width > 0 and height > 0)


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _numbers(value: object, n: int) -> bool:
    return isinstance(value, list) and len(value) == n and all(_number(v) for v in value)
