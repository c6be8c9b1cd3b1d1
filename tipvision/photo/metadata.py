"""What the camera wrote about the photo, as far as a reading may use it.

Place, serial numbers and owner are never taken over, so no output can leak them.
"""

from dataclasses import dataclass

from PIL import Image
from PIL.ExifTags import IFD, Base

_WHITE_BALANCE: dict[float | None, str] = {0: "auto", 1: "manual"}


@dataclass(frozen=True)
class Metadata:
    """Exif values (CIPA DC-008); None where the file does not say.

    taken:         "YYYY:MM:DD HH:MM:SS" as the camera wrote it.
    exposure_s:    exposure time in seconds.
    white_balance: "auto" or "manual".
    """

    orientation: int = 1
    maker: str | None = None
    model: str | None = None
    taken: str | None = None
    exposure_s: float | None = None
    f_number: float | None = None
    iso: float | None = None
    white_balance: str | None = None
    flash_fired: bool | None = None


def metadata_of(exif: Image.Exif) -> Metadata:
    """The values of a Pillow Exif object; damaged values count as not said."""
    camera = exif.get_ifd(IFD.Exif)
    flash = _number(camera.get(Base.Flash))
    orientation = _number(exif.get(Base.Orientation))
    return Metadata(
        orientation=int(orientation) if orientation and 1 <= orientation <= 8 else 1,
        maker=_text(exif.get(Base.Make)),
        model=_text(exif.get(Base.Model)),
        taken=_text(camera.get(Base.DateTimeOriginal)) or _text(exif.get(Base.DateTime)),
        exposure_s=_number(camera.get(Base.ExposureTime)),
        f_number=_number(camera.get(Base.FNumber)),
        iso=_number(camera.get(Base.ISOSpeedRatings)),
        white_balance=_WHITE_BALANCE.get(_number(camera.get(Base.WhiteBalance))),
        flash_fired=None if flash is None else bool(int(flash) & 1),
    )


def _number(value: object) -> float | None:
    if isinstance(value, tuple):
        value = value[0] if value else None
    try:
        number = float(value)  # type: ignore[arg-type]  # whatever the file holds is tried
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if 0 <= number < 1e9 else None


def _text(value: object) -> str | None:
    if not isinstance(value, str):
        return None
    return "".join(c for c in value if c.isprintable()).strip() or None
