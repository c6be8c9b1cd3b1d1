"""One photo of a batch, from its bytes to its records and its thumbnail."""

import time
from dataclasses import replace
from functools import partial

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.batch.store.comparable import packed
from tipvision.batch.workers.outcome import Outcome, Work, state_of, unreadable
from tipvision.condition.model import Model
from tipvision.measure.coat import default_coat_nets
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import photo_from
from tipvision.reading import Ask, read_photo
from tipvision.record.as_json import to_record
from tipvision.record.reading import Reading
from tipvision.tip.net import default_net

THUMBNAIL_PX = 120
THUMBNAIL_QUALITY = 75  # of JPEG


def prepared(ask: Ask, model: Model) -> Work:
    """A worker's way to read: the nets loaded, OpenCV on one thread."""
    cv2.setNumThreads(1)
    default_net(), default_coat_nets()
    return partial(read_one, ask=ask, model=model)


def read_one(name: str, content: bytes, ask: Ask, model: Model) -> Outcome:
    """Every plug that `ask` picks, of the photo of that name and content.

    Raises nothing that a station foresees: what cannot be opened is "unreadable".
    """
    begun = time.process_time()
    try:
        readings, thumbnail = _read(name, content, ask, model)
        outcome = Outcome(
            state=state_of(readings),
            answers=tuple(_answer(one) for one in readings if one.outcome == "read"),
            records=tuple(map(to_record, readings)),
            thumbnail=thumbnail,
            compared=packed(readings[0]) if len(readings) == 1 else None,
        )
    except PhotoFault as fault:
        outcome = unreadable(name, fault)
    return replace(outcome, seconds=time.process_time() - begun)


def _read(name: str, content: bytes, ask: Ask, model: Model) -> tuple[tuple[Reading, ...], bytes]:
    """Readings and thumbnail; raises PhotoFault as `photo_from` does."""
    photo = photo_from(name, content)
    return read_photo(photo, ask, model), thumbnail_of(photo.overview())


def thumbnail_of(overview: NDArray[np.uint8]) -> bytes:
    """JPEG, without metadata, of uint8 (h, w, 3) sRGB, at most `THUMBNAIL_PX` on the longer
    side."""
    height, width = overview.shape[:2]
    shrink = min(1.0, THUMBNAIL_PX / max(height, width))
    size = (max(1, round(width * shrink)), max(1, round(height * shrink)))
    small = cv2.resize(overview, size, interpolation=cv2.INTER_AREA)
    quality = [cv2.IMWRITE_JPEG_QUALITY, THUMBNAIL_QUALITY]
    done, jpeg = cv2.imencode(".jpg", cv2.cvtColor(small, cv2.COLOR_RGB2BGR), quality)
    assert done
    return jpeg.tobytes()


def _answer(reading: Reading) -> str:
    label = None if reading.condition is None else reading.condition.label
    return label or "none"
