"""Sets of photos with truth as they lie on disk: what is listed, and one photo with its mask."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.truth import PhotoTruth, read_manifest


class SetFault(ValueError):
    """A set of photos that cannot be used; the message says which line and what to do."""


@dataclass(frozen=True)
class Entry:
    """One line of a manifest: the files, and what is known of the photo."""

    photo: Path
    mask: Path | None
    truth: PhotoTruth


def listed(folders: Sequence[Path]) -> list[Entry]:
    """Photos of every `manifest.jsonl` in or below the folders, in the order of their names.

    Raises SetFault when there are none, ManifestError at a line that does not hold.
    """
    entries = []
    for folder in folders:
        for path in sorted(folder.rglob("manifest.jsonl")):
            for truth in read_manifest(path, check_files=False):
                mask = None if truth.mask is None else path.parent / truth.mask
                entries.append(Entry(path.parent / truth.file, mask, truth))
    if not entries:
        raise SetFault(f"No manifest.jsonl in {', '.join(map(str, folders))}.")
    return entries


def read_pair(entry: Entry) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.uint8]]:
    """Photo as displayed, uint8 (h, w, 3) RGB, and its mask, uint8 (h, w), zeros where none is.

    Raises SetFault when a file cannot be read or their sizes differ.
    """
    photo = cv2.imread(str(entry.photo), cv2.IMREAD_COLOR)
    if photo is None:
        raise SetFault(f"{entry.photo} cannot be read. Make the set again.")
    if entry.mask is None:
        return photo[..., ::-1], np.zeros(photo.shape[:2], np.uint8)
    mask = cv2.imread(str(entry.mask), cv2.IMREAD_UNCHANGED)
    if mask is None or mask.shape != photo.shape[:2]:
        raise SetFault(f"{entry.mask} is missing or not of its photo's size. Make the set again.")
    return photo[..., ::-1], np.asarray(mask, np.uint8)
