"""A colour profile built on tables, for tests (ICC.1:2001-04: lut16Type, 6.5.7 and annex A)."""

import struct

import numpy as np

_GRID = 17


def table_profile(to_lab):
    """Bytes of an RGB profile whose only road is a table. to_lab : codes (n, 3), 0 to 1, to Lab
    (D50)."""
    axis = np.linspace(0, 1, _GRID)
    codes = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    lab = np.clip(to_lab(codes), [0, -128, -128], [100, 127, 127])
    words = np.rint(
        np.stack([lab[:, 0] * 652.8, *((lab[:, i] + 128) * 256 for i in (1, 2))], -1)
    ).astype(">u2")
    ends = struct.pack(">2H", 0, 65535) * 3
    table = b"mft2" + bytes(4) + bytes([3, 3, _GRID, 0])
    table += struct.pack(">9i", *(np.eye(3).ravel() * 65536).astype(int)) + struct.pack(">2H", 2, 2)
    table += ends + words.tobytes() + ends
    white = struct.pack(">3i", *np.rint(np.array([0.9642, 1, 0.8249]) * 65536).astype(int))
    tags = {
        b"desc": b"desc" + bytes(4) + struct.pack(">I", 6) + b"table\0" + bytes(78),
        b"wtpt": b"XYZ " + bytes(4) + white,
        b"cprt": b"text" + bytes(4) + b"none\0",
        b"A2B0": table,
    }
    index, data = struct.pack(">I", len(tags)), b""
    for tag, content in tags.items():
        content += bytes(-len(content) % 4)
        place = 132 + 12 * len(tags) + len(data)
        index += tag + struct.pack(">II", place, len(content))
        data += content
    size = 128 + len(index) + len(data)
    head = struct.pack(">I4sI4s4s4s", size, b"none", 0x02400000, b"mntr", b"RGB ", b"Lab ")
    head += struct.pack(">6H", 2026, 11, 25, 0, 0, 0) + b"acsp" + bytes(28) + white
    return head + bytes(128 - len(head)) + index + data
