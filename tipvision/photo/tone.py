"""From a photo's stored codes to sRGB codes for showing and linear light for measuring."""

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import decode, encode, linear_table
from tipvision.photo.blocks import brightest_in
from tipvision.photo.pixels import Codes
from tipvision.photo.profile import Profile

CEILING = 254  # 8-bit code from which a channel counts as clipped (our estimate: JPEG ripples by 1)
DEEP_CEILING = CEILING * 257  # the same of 16 bits


class Tone:
    """How the codes of one photo are read.

    profile: its colour profile, None where they are sRGB. raw: they are linear light already.
    """

    def __init__(self, profile: Profile | None, raw: bool) -> None:
        self._profile = None if profile is None or profile.same else profile
        self._raw = raw

    def shown(self, codes: Codes) -> NDArray[np.uint8]:
        """uint8 (h, w, 3), sRGB-encoded."""
        if self._raw:
            return _encoded_table()[codes]
        if codes.dtype == np.uint16:
            codes = np.rint(codes / 257.0).astype(np.uint8)
        eight = np.asarray(codes, np.uint8)
        return eight if self._profile is None else self._profile.to_srgb(eight)

    def linear(self, codes: Codes) -> NDArray[np.float32]:
        """float32 (h, w, 3), linear sRGB, 0 to 1; 16 bits are not cut to 8 first, but where their
        profile is a table."""
        if self._raw:
            return np.asarray(codes / np.float32(65535), np.float32)
        if codes.dtype == np.uint16:
            deep = np.asarray(codes, np.uint16)
            if self._profile is None:
                return _deep_table()[deep]
            if self._profile.matrix is not None:
                return self._profile.matrix.linear(deep)
        return np.asarray(cv2.LUT(self.shown(codes), linear_table()), np.float32)

    def clipped(self, codes: Codes, block: tuple[int, int]) -> NDArray[np.bool_]:
        """bool (h, w), a channel of a pixel in the block stood at its ceiling in the file (print
        colours: in sRGB). codes: (h · down, w · across, n). block: (across, down)."""
        if codes.shape[2] != 3:
            codes = self.shown(codes)
        ceiling = DEEP_CEILING if codes.dtype == np.uint16 else CEILING
        if codes.max() < ceiling:  # most stripes: the one look along memory costs next to nothing
            return np.zeros((codes.shape[0] // block[1], codes.shape[1] // block[0]), np.bool_)
        return np.asarray(brightest_in(codes, block) >= ceiling)


@cache
def _deep_table() -> NDArray[np.float32]:
    table = decode(np.arange(65536) / 65535.0).astype(np.float32)
    table.flags.writeable = False
    return table


@cache
def _encoded_table() -> NDArray[np.uint8]:
    table = np.rint(255 * encode(np.arange(65536) / 65535.0)).astype(np.uint8)
    table.flags.writeable = False
    return table
