"""What the tool measures on photos of known plugs: one row for each nose and each light.

The tip is found as the tool finds it, so that a finder's errors are in the rows as they will be in
the field; the truth of a nose is that of the plug whose mask it overlaps.
"""

from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Self

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.arrays import read_arrays
from pipelines.light.rows import stored_light_of
from pipelines.studio.truth import PlugTruth
from pipelines.tip_net.judge import LEAST_NOSE, nearest_tip
from pipelines.tip_net.listing import Entry, listed, read_pair
from tipvision.condition.condition import FINDINGS, LABELS
from tipvision.condition.features import NAMES, ONCE, UNDER_LIGHT, Features, features_of
from tipvision.light.at_the_nose import default_nose_light
from tipvision.light.estimate import estimated_light
from tipvision.light.know import know_light
from tipvision.light.light import Light
from tipvision.light.said import Said
from tipvision.measure.bands import load_bands
from tipvision.measure.coat import default_coat_nets
from tipvision.measure.measure import measure
from tipvision.measure.reduced import window_on
from tipvision.photo.photo import Window, open_photo
from tipvision.tip.closer import full_pixels
from tipvision.tip.gates import gates
from tipvision.tip.hint import Hint
from tipvision.tip.search import search_tips
from tipvision.tip.tip import Tip

LEAST_PX = 20.0  # across: smaller noses are refused anyway
NO_PLUG = "no_plug"  # label of what was taken for a tip and is none


@dataclass(frozen=True)
class Row:
    """One nose under one light.

    render: number of the render that the photo was developed from; all its photos show one plug.
    label: one of `LABELS`, or `NO_PLUG`. shares: of the conditions, in the order of `LABELS`.
    findings: names. pale: whether its true colour is a pale one. source: of the light. own: whether
    it is the light that the tool takes, not a guess beside it. gated: codes of the gates that
    fired, the light's included.
    """

    photo: str
    render: int
    number: int
    label: str
    shares: tuple[float, ...]
    findings: tuple[str, ...]
    nose_lab: tuple[float, float, float]
    nose_px: float
    view: str
    source: str
    own: bool
    gated: tuple[str, ...]
    features: Features


def rows_of(folders: Sequence[Path], workers: int, guesses: bool) -> Iterator[Row]:
    """Rows of every nose of at least `LEAST_PX` in developed sets.

    guesses: also a row under the guessed light where a better one is known.
    Raises SetFault when there are no photos or one cannot be read.
    """
    entries = listed(folders)
    one = partial(_rows, guesses=guesses)
    if workers == 1:
        for entry in entries:
            yield from one(entry)
        return
    with ProcessPoolExecutor(workers, initializer=cv2.setNumThreads, initargs=(1,)) as pool:
        for rows in pool.map(one, entries, chunksize=8):
            yield from rows


@dataclass(frozen=True)
class Nose:
    """What the tool found of one nose, and which it is.

    number: of the true plug, None for what is none. own: whether `light` is the one that the tool
    takes. window shows `tip.box`.
    """

    entry: Entry
    tip: Tip
    window: Window
    light: Light
    number: int | None
    own: bool

    @property
    def truth(self) -> PlugTruth | None:
        return None if self.number is None else self.entry.truth.plugs[self.number]


def noses_of(entry: Entry, guesses: bool) -> Iterator[Nose]:
    """The noses that the tool finds in a photo, under each light; arguments as for `rows_of`."""
    photo = open_photo(str(entry.photo))
    overview = photo.overview()
    said = Said(stored=stored_light_of(entry.photo.parent, entry.truth))
    light, card = know_light(photo, overview, said)
    hint = None if card is None else Hint(tuple(card.seat.tolist()), card.px_per_mm)
    tips = search_tips(overview, photo.size, hint, full_pixels(photo)).tips
    if not tips:
        return
    lights = [light]
    if guesses and light.source != "estimate":
        lights.append(estimated_light(overview))
    for tip, number in zip(tips, _owners(entry, tips), strict=True):
        if tip.nose_px < LEAST_PX:
            continue
        window = window_on(photo, tip)
        for one in lights:
            yield Nose(entry, tip, window, one, number, own=one is light)


def _rows(entry: Entry, guesses: bool) -> list[Row]:
    rows = (row_of(nose) for nose in noses_of(entry, guesses))
    return [row for row in rows if row is not None]


def _owners(entry: Entry, tips: tuple[Tip, ...]) -> list[int | None]:
    """The true plug that each tip is on; None for one that is on none or shares one."""
    _, mask = read_pair(entry)
    owners: list[int | None] = [None] * len(tips)
    for number in range(len(entry.truth.plugs)):
        nose = (mask == 8 * number + 1) | (mask == 8 * number + 2)
        if nose.sum() < LEAST_NOSE:
            continue
        tip, _ = nearest_tip(tips, nose, mask == 8 * number + 3)
        if tip is not None:
            owners[tips.index(tip)] = number
    return owners


def row_of(nose: Nose) -> Row | None:
    """Its row; None where nothing can be measured, or the true nose is not known."""
    tip, light, plug = nose.tip, nose.light, nose.truth
    looks = default_nose_light(), default_coat_nets()
    found = measure(nose.window, tip, light, load_bands(), *looks)
    if found is None or (plug is not None and plug.nose_lab is None):
        return None
    reasons = (*light.reasons, *gates(tip, nose.window.linear, nose.window.clipped))
    label = NO_PLUG if plug is None else plug.condition or "none"
    return Row(
        photo=nose.entry.photo.name,
        render=nose.entry.truth.seed,
        number=-1 if nose.number is None else nose.number,
        label=label,
        shares=tuple(0.0 if plug is None else plug.shares.get(k, 0.0) for k in LABELS),
        findings=() if plug is None else plug.findings,
        nose_lab=(np.nan,) * 3 if plug is None or plug.nose_lab is None else plug.nose_lab,
        nose_px=tip.nose_px,
        view=str(tip.view),
        source=light.source.split(":")[0],
        own=nose.own,
        gated=tuple(reason.code for reason in reasons),
        features=features_of(found, load_bands()),
    )


@dataclass(frozen=True)
class Table:
    """Rows as columns: each array has one entry, or one row, for each row.

    under_light: float32 (r, n, fu); once: float32 (r, fo); the rest as in `Row`. findings: bool
    (r, len(FINDINGS)). gated: codes joined by spaces.
    """

    photo: NDArray[np.str_]
    render: NDArray[np.int64]
    number: NDArray[np.int64]
    label: NDArray[np.str_]
    shares: NDArray[np.float32]
    findings: NDArray[np.bool_]
    nose_lab: NDArray[np.float32]
    nose_px: NDArray[np.float32]
    view: NDArray[np.str_]
    source: NDArray[np.str_]
    own: NDArray[np.bool_]
    gated: NDArray[np.str_]
    under_light: NDArray[np.float32]
    once: NDArray[np.float32]

    @property
    def plug(self) -> NDArray[np.int64]:
        """A number for each plug: rows of one plug, in whatever photo, share it."""
        return self.render * 16 + self.number

    @property
    def fit_to_read(self) -> NDArray[np.bool_]:
        """bool (r,), what the tool would answer: under its own light, with no gate fired."""
        return np.asarray(self.own & (self.gated == ""))

    def __len__(self) -> int:
        return len(self.render)

    def where(self, chosen: NDArray[Any]) -> Self:
        """The chosen rows, by a mask or by their numbers."""
        return type(self)(**{name: column[chosen] for name, column in vars(self).items()})

    def values(self, draws: int) -> NDArray[np.float64]:
        """All features under so many draws of the light, evenly picked, (r, draws, features)."""
        held = self.under_light.shape[1]
        picked = self.under_light[:, :: held // draws][:, :draws].astype(np.float64)
        once = np.broadcast_to(self.once[:, None], (*picked.shape[:2], self.once.shape[1]))
        return np.concatenate([picked, once], axis=2)

    def features(self, k: int) -> Features:
        """Those of row k."""
        return Features(self.under_light[k].astype(np.float64), self.once[k].astype(np.float64))


def table_of(rows: Iterable[Row]) -> Table:
    """The rows as a table; raises ValueError when there are none."""
    held = list(rows)
    if not held:
        raise ValueError("no nose was found in these photos")
    plain = {
        name: np.array([getattr(row, name) for row in held])
        for name in ("photo", "render", "number", "label", "nose_px", "view", "source", "own")
    }
    return Table(
        **{**plain, "nose_px": plain["nose_px"].astype(np.float32)},
        shares=np.array([row.shares for row in held], np.float32),
        findings=np.array([[name in row.findings for name in FINDINGS] for row in held]),
        nose_lab=np.array([row.nose_lab for row in held], np.float32),
        gated=np.array([" ".join(row.gated) for row in held]),
        under_light=np.array([row.features.under_light for row in held], np.float32),
        once=np.array([row.features.once for row in held], np.float32),
    )


def write_table(path: Path, table: Table) -> None:
    """Write it as a compressed .npz, with the names of its features."""
    path.parent.mkdir(parents=True, exist_ok=True)
    names = {"under_light_names": np.array(UNDER_LIGHT), "once_names": np.array(ONCE)}
    np.savez_compressed(path, **names, **vars(table))  # type: ignore[arg-type]


def read_table(paths: Sequence[Path]) -> Table:
    """One table of the rows of all files.

    Raises ValueError when a file cannot be read, or holds other features than this version
    measures.
    """
    tables = []
    for path in paths:
        held = read_arrays(path, "under_light_names", "once_names", *Table.__annotations__)
        named = (*held.pop("under_light_names").tolist(), *held.pop("once_names").tolist())
        if named != NAMES:
            raise ValueError(f"{path} holds features of another version. Make it again.")
        tables.append(Table(**held))
    columns = {
        name: np.concatenate([getattr(table, name) for table in tables])
        for name in Table.__annotations__
    }
    return Table(**columns)
