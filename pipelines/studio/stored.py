"""Writing a photo as a phone stores it: JPEG, EXIF, sensor orientation."""

from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np
import numpy.typing as npt
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

MAKER = "Larch Hollow"
MODEL = "Bench camera 1"

# Quarter turns counter-clockwise from the displayed picture to the stored one.
_TURNS = {1: 0, 6: 1, 3: 2, 8: 3}


@dataclass(frozen=True)
class ShotData:
    """What EXIF tells: `taken` as "YYYY:MM:DD HH:MM:SS", exposure in s, focal length in mm."""

    taken: str
    exposure: tuple[int, int]
    iso: int
    f_number: float
    focal: float
    auto_balance: bool
    flash: bool
    orientation: int


def exif(data: ShotData) -> Image.Exif:
    """EXIF block of a photo."""
    out = Image.Exif()
    out[0x010F], out[0x0110], out[0x0112], out[0x0132] = MAKER, MODEL, data.orientation, data.taken
    out[0x011A], out[0x011B], out[0x0128] = IFDRational(72), IFDRational(72), 2
    inner = out.get_ifd(0x8769)
    inner[0x829A] = IFDRational(*data.exposure)
    inner[0x829D] = IFDRational(round(data.f_number * 10), 10)
    inner[0x8827] = data.iso
    inner[0x9000] = b"0232"
    inner[0x9003] = data.taken
    inner[0x9004] = data.taken
    inner[0x9209] = 0x19 if data.flash else 0x10
    inner[0x920A] = IFDRational(round(data.focal * 100), 100)
    inner[0xA001] = 1
    inner[0xA403] = 0 if data.auto_balance else 1
    return out


def write_jpeg(
    path: Path, shown: npt.NDArray[np.uint8], data: ShotData, quality: int, limit: int
) -> int:
    """Store the displayed picture; the quality is lowered by 3 at a time until `limit` bytes hold.

    Returns the quality used. Raises ValueError for an orientation with a mirror, or when even
    quality 50 is too large.
    """
    if data.orientation not in _TURNS:
        raise ValueError(f"{path.name}: orientation {data.orientation} is not one of 1, 3, 6, 8")
    picture = Image.fromarray(np.ascontiguousarray(np.rot90(shown, _TURNS[data.orientation])))
    for q in range(quality, 49, -3):
        buffer = BytesIO()
        picture.save(buffer, "JPEG", quality=q, exif=exif(data), optimize=True)
        if buffer.tell() <= limit:
            path.write_bytes(buffer.getvalue())
            return q
    raise ValueError(f"{path.name}: over {limit} bytes even at quality 50; render it smaller")
