"""A colour profile of print colours, small enough to be written out."""

import struct


def print_profile() -> bytes:
    """A CMYK profile of one small table of colours (ISO 15076-1, lut8Type)."""
    corners = []
    for corner in range(16):
        c, m, y, k = (corner >> bit & 1 for bit in (3, 2, 1, 0))
        lightness = 100 * (1 - k) * (1 - (c + m + y) / 4)
        corners += [round(2.55 * lightness), 128 + 50 * (m - c) * (1 - k), 128 + 50 * y * (1 - k)]
    straight = bytes(range(256))
    identity = struct.pack(">9i", *(65536 if i % 4 == 0 else 0 for i in range(9)))
    table = b"mft1" + bytes(4) + bytes([4, 3, 2, 0]) + identity
    table += straight * 4 + bytes(corners) + straight * 3
    text = b"desc" + bytes(4) + struct.pack(">I", 6) + b"print\0" + bytes(78)
    white = b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061)
    tags, body, offset = b"", b"", 128 + 4 + 3 * 12
    for name, content in ((b"desc", text), (b"wtpt", white), (b"A2B0", table)):
        data = content + bytes(-len(content) % 4)
        tags += name + struct.pack(">II", offset + len(body), len(data))
        body += data
    head = struct.pack(">I", offset + len(body)) + bytes(4) + b"\x02\x10\0\0prtrCMYKLab "
    head += bytes(12) + b"acsp" + bytes(28) + struct.pack(">3i", 63190, 65536, 54061)
    return head.ljust(128, b"\0") + struct.pack(">I", 3) + tags + body
