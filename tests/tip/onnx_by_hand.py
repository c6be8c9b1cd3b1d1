"""ONNX files written field by field, so that tests of the tip net need no ONNX package.

Field numbers: published with the format, in onnx.proto.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

IR_VERSION, OPSET = 8, 17
FLOAT32, INT64 = 1, 7
AS_INT, AS_INTS = 2, 7


def _varint(value: int) -> bytes:
    out = bytearray()
    while value > 127:
        out.append(value & 127 | 128)
        value >>= 7
    return bytes([*out, value])


def _number(field: int, value: int) -> bytes:
    return _varint(field << 3) + _varint(value)


def _bytes(field: int, content: bytes | str) -> bytes:
    raw = content.encode() if isinstance(content, str) else content
    return _varint(field << 3 | 2) + _varint(len(raw)) + raw


def node(kind: str, inputs: Sequence[str], output: str, **attributes: int | list[int]) -> bytes:
    """One operation with one output."""
    out = b"".join(_bytes(1, name) for name in inputs) + _bytes(2, output) + _bytes(4, kind)
    for name, value in attributes.items():
        told = _bytes(1, name)
        if isinstance(value, int):
            told += _number(3, value) + _number(20, AS_INT)
        else:
            told += b"".join(_number(8, v) for v in value) + _number(20, AS_INTS)
        out += _bytes(5, told)
    return out


def constant(name: str, value: NDArray[np.generic]) -> bytes:
    """One array of weights, float32 or int64."""
    kind = INT64 if value.dtype == np.int64 else FLOAT32
    dims = b"".join(_number(1, n) for n in value.shape)
    return dims + _number(2, kind) + _bytes(8, name) + _bytes(9, value.tobytes())


def _value(name: str, shape: Sequence[int]) -> bytes:
    dims = b"".join(_bytes(1, _number(1, n)) for n in shape)
    return _bytes(1, name) + _bytes(2, _bytes(1, _number(1, FLOAT32) + _bytes(2, dims)))


def model(
    nodes: Sequence[bytes],
    constants: Sequence[bytes],
    given: tuple[str, Sequence[int]],
    answers: Sequence[tuple[str, Sequence[int]]],
) -> bytes:
    """The whole file."""
    graph = b"".join(_bytes(1, n) for n in nodes) + _bytes(2, "by hand")
    graph += b"".join(_bytes(5, c) for c in constants) + _bytes(11, _value(*given))
    graph += b"".join(_bytes(12, _value(*answer)) for answer in answers)
    return _number(1, IR_VERSION) + _bytes(7, graph) + _bytes(8, _number(2, OPSET))
