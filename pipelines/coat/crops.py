"""Crops round the noses that the tool finds, with their light and their truth, in one file."""

import io
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from pipelines.arrays import read_arrays
from pipelines.condition.rows import (
    Nose,
    Row,
    Table,
    noses_of,
    read_table,
    row_of,
    table_of,
    write_table,
)
from pipelines.tip_net.listing import Entry, listed
from tipvision.colour.srgb import decode, encode
from tipvision.light.correction import TERMS, Correction
from tipvision.measure.coat_view import Cut, cut_round, doubt_of

QUALITY = 93  # of the stored JPEG: the photo was one before
OUTSIDE = 1  # of the stored mask's lowest bit; parts are even numbers then
MOST_TERMS = max(TERMS.values())
COLUMNS = ("degree", "matrix", "tone", "doubt", "shine")
PACKED = ("picture", "parts")
STORED = (*COLUMNS, *(f"{name}{part}" for name in PACKED for part in ("", "_ends", "_of")))


@dataclass(frozen=True)
class Crop:
    """One nose under one light: the cut, packed, that light, and the share of wet surface.

    picture: JPEG of the uncorrected pixels. parts: PNG of the labels. matrix: float32 (3, 13),
    columns of terms that the degree lacks are zero. tone: float32 (2,). doubt: float32 (3,).
    """

    picture: bytes
    parts: bytes
    degree: int
    matrix: NDArray[np.float32]
    tone: NDArray[np.float32]
    doubt: NDArray[np.float32]
    shine: float


def write_noses(folders: Sequence[Path], out: Path, workers: int) -> int:
    """Measure every nose of developed sets, under the guessed light, too, where a better one is
    known, and write `OUT.rows.npz` and `OUT.crops.npz`, rows of both in the same order.

    Returns how many. Raises SetFault when there are no photos or one cannot be read.
    """
    with ProcessPoolExecutor(workers, initializer=cv2.setNumThreads, initargs=(1,)) as pool:
        found = [pair for some in pool.map(_pairs, listed(folders), chunksize=8) for pair in some]
    write_table(out.with_name(f"{out.name}.rows.npz"), table_of(row for row, _ in found))
    return write_crops(out.with_name(f"{out.name}.crops.npz"), [crop for _, crop in found])


def _pairs(entry: Entry) -> list[tuple[Row, Crop]]:
    pairs = ((row_of(nose), crop_of(nose)) for nose in noses_of(entry, guesses=True))
    return [(row, crop) for row, crop in pairs if row is not None and crop is not None]


def crop_of(nose: Nose) -> Crop | None:
    """None where no nose shows."""
    cut = cut_round(nose.window.linear, nose.tip.labels)
    if cut is None:
        return None
    outside = np.isnan(cut.linear[..., 0])
    codes = np.round(encode(np.nan_to_num(cut.linear, nan=0.2)) * 255).astype(np.uint8)
    correction = nose.light.correction
    matrix = np.zeros((3, MOST_TERMS), np.float32)
    matrix[:, : correction.matrix.shape[1]] = correction.matrix
    plug = nose.truth
    return Crop(
        picture=_packed(codes, "JPEG", quality=QUALITY),
        parts=_packed((cut.labels & 254) | outside.astype(np.uint8), "PNG", optimize=True),
        degree=correction.degree,
        matrix=matrix,
        tone=np.asarray(correction.tone, np.float32),
        doubt=doubt_of(nose.light),
        shine=np.nan if plug is None or plug.shine is None else plug.shine,
    )


def _packed(pixels: NDArray[np.uint8], kind: str, **options: object) -> bytes:
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, kind, **options)
    return stream.getvalue()


def write_crops(path: Path, crops: Iterable[Crop]) -> int:
    """Write an .npz, plain arrays alone; the crops are kept in their order. Returns how many."""
    held = list(crops)
    path.parent.mkdir(parents=True, exist_ok=True)
    columns = {name: np.array([getattr(crop, name) for crop in held]) for name in COLUMNS}
    packed = {}
    for name in PACKED:
        unlike = dict.fromkeys(getattr(crop, name) for crop in held)
        place = {content: k for k, content in enumerate(unlike)}
        packed[name] = np.frombuffer(b"".join(unlike), np.uint8)
        packed[f"{name}_ends"] = np.cumsum([len(content) for content in unlike])
        packed[f"{name}_of"] = np.array([place[getattr(crop, name)] for crop in held])
    np.savez(path, **columns, **packed)  # type: ignore[arg-type]
    return len(held)


@dataclass(frozen=True)
class Crops:
    """All crops of some files: cuts and lights, each list of the same length."""

    cuts: tuple[Cut, ...]
    lights: tuple[Correction, ...]
    doubt: NDArray[np.float32]
    shine: NDArray[np.float32]


def read_crops(paths: Sequence[Path]) -> Crops:
    """What `write_crops` wrote, file after file. Raises ValueError where one cannot be read."""
    cuts: list[Cut] = []
    lights: list[Correction] = []
    doubt, shine = [], []
    for path in paths:
        held = read_arrays(path, *STORED)
        pictures = _unpacked(held["picture"], held["picture_ends"], cv2.IMREAD_COLOR)
        parts = _unpacked(held["parts"], held["parts_ends"], cv2.IMREAD_GRAYSCALE)
        for k, m in zip(held["picture_of"], held["parts_of"], strict=True):
            cuts.append(_cut(pictures[k], parts[m]))
        for degree, matrix, tone in zip(held["degree"], held["matrix"], held["tone"], strict=True):
            terms = matrix[:, : TERMS[int(degree)]].astype(np.float64)
            lights.append(Correction(terms, int(degree), tone.astype(np.float64)))
        doubt.append(held["doubt"])
        shine.append(held["shine"])
    return Crops(tuple(cuts), tuple(lights), np.concatenate(doubt), np.concatenate(shine))


def matched(rows: Sequence[Path], crops: Sequence[Path]) -> tuple[Table, Crops]:
    """A table and the crops of its rows. Raises ValueError where their counts differ."""
    table, held = read_table(rows), read_crops(crops)
    if len(table) != len(held.cuts):
        raise ValueError(f"{len(table)} rows and {len(held.cuts)} crops: name files of one run.")
    return table, held


def _unpacked(
    content: NDArray[np.uint8], ends: NDArray[np.int64], how: int
) -> list[NDArray[np.uint8]]:
    begins = np.concatenate([[0], ends[:-1]])
    return [
        np.asarray(cv2.imdecode(content[a:b], how), np.uint8)
        for a, b in zip(begins, ends, strict=True)
    ]


def _cut(picture: NDArray[np.uint8], parts: NDArray[np.uint8]) -> Cut:
    linear = decode(picture[..., ::-1] / 255.0).astype(np.float32)
    linear[parts & OUTSIDE == OUTSIDE] = np.nan
    whole = parts & 254
    return Cut(linear, np.where(whole == 254, 255, whole).astype(np.uint8))
