"""A sheet of the pictures whose labels are doubtful, to look at in a browser."""

import base64
from collections.abc import Sequence
from pathlib import PurePath

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.photo import open_photo
from tipvision.teaching.card import render
from tipvision.teaching.doubtful import Doubt

LONGEST = 320  # pixels of a picture on the sheet


def sheet_of(name: str, found: Sequence[Doubt]) -> str:
    """One self-contained HTML page; each picture with its label and what speaks against it.

    Raises PhotoFault for a photo that cannot be opened any more.
    """
    shown = [
        {
            "picture": _uri(open_photo(one.photo).overview()),
            "photo": PurePath(one.photo).name,
            "doubt": one,
        }
        for one in found
    ]
    return render("doubtful.html", {"name": name, "shown": shown})


def _uri(picture: NDArray[np.uint8]) -> str:
    height, width = picture.shape[:2]
    scale = min(1.0, LONGEST / max(height, width))
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    _, packed = cv2.imencode(".jpg", cv2.cvtColor(small, cv2.COLOR_RGB2BGR))
    return f"data:image/jpeg;base64,{base64.b64encode(packed.tobytes()).decode('ascii')}"
