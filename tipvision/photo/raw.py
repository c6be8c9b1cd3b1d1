"""DNG: what the sensor saw, developed by LibRaw into linear light and nothing more."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from typing import IO, Any, BinaryIO, cast

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tipvision.photo.fault import PhotoFault, damage_as_fault, damaged
from tipvision.photo.header import Header, refuse_large, without_colour
from tipvision.photo.metadata import Metadata, metadata_of

# LibRaw's word for how the camera was held, as the Exif orientation of the unturned picture.
_ORIENTATION = {0: 1, 3: 3, 5: 8, 6: 6}


def raw_header(stream: IO[bytes]) -> Header:
    """The header of a DNG; raises PhotoFault for a damaged or a larger one than is read."""
    with _faults(), _raw(stream) as raw:
        size = (int(raw.sizes.width), int(raw.sizes.height))
        orientation = _ORIENTATION.get(int(raw.sizes.flip), 1)
        if raw.num_colors < 3:
            raise without_colour()
    refuse_large(size)
    metadata = Metadata()
    exif = Image.Exif()
    stream.seek(0)
    with suppress(PhotoFault), damage_as_fault("DNG"):  # what it says is of use, not needed
        exif.load_from_fp(stream)
        metadata = metadata_of(exif)
    upright = replace(metadata, orientation=orientation)
    # what LibRaw copies of the file is in the bytes a pixel that are reckoned for it
    return Header("DNG", size, "RGB", upright, deep=True, copied=False)


def raw_pixels(stream: IO[bytes], half: bool) -> NDArray[np.uint16]:
    """uint16 (h, w, 3), linear light with sRGB's primaries, 65535 where a channel is full.

    The camera's own white balance, as in its JPEG; no brightening by the picture's content, which
    would make two photos of one plug unlike. half: each group of four sensor pixels becomes one,
    where the sensor has such groups.
    """
    import rawpy

    with _faults(), _raw(stream) as raw:
        return np.asarray(
            raw.postprocess(
                gamma=(1, 1),
                no_auto_bright=True,
                adjust_maximum_thr=0.0,
                output_bps=16,
                use_camera_wb=True,
                output_color=rawpy.ColorSpace.sRGB,
                half_size=half,
                user_flip=0,
            ),
            np.uint16,
        )


@contextmanager
def _raw(stream: IO[bytes]) -> Iterator[Any]:
    import rawpy

    stream.seek(0)
    with rawpy.imread(cast(BinaryIO, stream)) as raw:
        yield raw


@contextmanager
def _faults() -> Iterator[None]:
    import rawpy  # only raw photos pay for it

    try:
        yield
    except rawpy.LibRawFileUnsupportedError as error:
        raise PhotoFault(
            "The DNG file keeps its pixels in a way that is not read.", "Export it as JPEG."
        ) from error
    except rawpy.LibRawError as error:
        raise damaged("DNG") from error
