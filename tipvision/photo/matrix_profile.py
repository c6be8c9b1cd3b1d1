"""ICC profiles of three curves and a matrix, applied to 16 bits a channel.

Pillow's colour management knows 8 bits only, and a photo of 16 bits is kept for its darks.
"""

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.adaptation import bradford
from tipvision.colour.chromaticity import D65_WHITE
from tipvision.colour.srgb import RGB_TO_XYZ

_D50 = np.array([0.9642, 1.0, 0.8249])  # published: ISO 15076-1, the profile connection space
_CODES = np.arange(65536) / 65535.0


@dataclass(frozen=True)
class MatrixProfile:
    """curves: float32 (3, 65536), linear light of every code. matrix: float64 (3, 3), to linear
    sRGB."""

    curves: NDArray[np.float32]
    matrix: NDArray[np.float64]

    def linear(self, codes: NDArray[np.uint16]) -> NDArray[np.float32]:
        """float32 (h, w, 3), linear sRGB, 0 to 1, of codes (h, w, 3) in this profile."""
        own = np.stack([curve[codes[..., k]] for k, curve in enumerate(self.curves)], axis=-1)
        return np.asarray(np.clip(own @ self.matrix.T.astype(np.float32), 0, 1), np.float32)


def matrix_profile(icc: bytes) -> MatrixProfile | None:
    """The curves and matrix of a profile; None where it has none, or has tables that go first.

    Source of the method: published: ISO 15076-1 (three-component matrix-based profiles).
    """
    try:
        tags = _tags(icc)
        if icc[16:24] != b"RGB XYZ " or b"A2B0" in tags or b"A2B1" in tags:
            return None
        columns = [_xyz(tags[name]) for name in (b"rXYZ", b"gXYZ", b"bXYZ")]
        curves = [_curve(tags[name]) for name in (b"rTRC", b"gTRC", b"bTRC")]
    except (KeyError, struct.error, ValueError):
        return None
    from_d50 = np.linalg.inv(RGB_TO_XYZ) @ bradford(_D50, D65_WHITE)
    return MatrixProfile(np.stack(curves).astype(np.float32), from_d50 @ np.stack(columns, axis=1))


def _tags(icc: bytes) -> dict[bytes, bytes]:
    (count,) = struct.unpack_from(">I", icc, 128)
    found = {}
    for k in range(min(count, 200)):
        name, offset, size = struct.unpack_from(">4sII", icc, 132 + 12 * k)
        found[name] = icc[offset : offset + size]
    return found


def _xyz(tag: bytes) -> NDArray[np.float64]:
    return np.array(struct.unpack_from(">3i", tag, 8)) / 65536


def _curve(tag: bytes) -> NDArray[np.float64]:
    """Linear light, 0 to 1, of the 65536 codes."""
    kind = tag[:4]
    if kind == b"para":
        return _parametric(tag)
    if kind != b"curv":
        raise ValueError("no curve")
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return _CODES
    if count == 1:
        return np.asarray(_CODES ** (struct.unpack_from(">H", tag, 12)[0] / 256))
    table = np.frombuffer(tag, ">u2", count, 12) / 65535.0
    return np.interp(_CODES, np.linspace(0, 1, count), table)


def _parametric(tag: bytes) -> NDArray[np.float64]:
    """The parametric curves 0 to 4 of the standard: (a x + b)^g + e from d on, c x + f below."""
    (function,) = struct.unpack_from(">H", tag, 8)
    if function > 4:
        raise ValueError("no such curve")
    said = [v / 65536 for v in struct.unpack_from(f">{(1, 3, 4, 5, 7)[function]}i", tag, 12)]
    gamma, a, b, c, d, e, f = said[0], 1.0, 0.0, 0.0, -1.0, 0.0, 0.0
    if function > 0:
        a, b = said[1:3]
        if a == 0:
            raise ValueError("a curve without a slope")
        d = -b / a
    if function == 2:
        e = f = said[3]
    elif function > 2:
        c, d = said[3:5]
    if function == 4:
        e, f = said[5:7]
    power = np.maximum(a * _CODES + b, 0.0) ** gamma + e
    return np.asarray(np.clip(np.where(d <= _CODES, power, c * _CODES + f), 0, 1))
