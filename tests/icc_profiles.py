"""Small ICC profiles built by hand, for tests: v2 matrix/TRC (ICC.1:2001-04)."""

import struct

import numpy as np

D50 = np.array([0.9642, 1.0, 0.8249])
BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
# xy of the primaries and white: SMPTE EG 432-1 (P3) with D65; IEC 61966-2-1 (sRGB).
P3 = [(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)]
SRGB = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)]
D65 = (0.3127, 0.3290)


def columns(primaries, white=D65):
    """(3, 3) RGB to D50 XYZ."""
    to_xyz = lambda x, y: np.array([x / y, 1, (1 - x - y) / y])  # noqa: E731
    m = np.array([to_xyz(*p) for p in primaries]).T
    m = m * np.linalg.solve(m, to_xyz(*white))
    scale = (BRADFORD @ D50) / (BRADFORD @ to_xyz(*white))
    return np.linalg.inv(BRADFORD) @ np.diag(scale) @ BRADFORD @ m


def curve(kind):
    """A TRC tag: "srgb" (parametric type 3), a gamma (curv of one), or "table"."""
    if kind == "srgb":
        values = [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045]
        return b"para" + bytes(4) + struct.pack(">HH5i", 3, 0, *(round(v * 65536) for v in values))
    if kind == "table":
        v = np.linspace(0, 1, 1024)
        linear = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
        return (
            b"curv" + bytes(4) + struct.pack(">I1024H", 1024, *np.rint(linear * 65535).astype(int))
        )
    return b"curv" + bytes(4) + struct.pack(">IH", 1, round(kind * 256))


def profile(primaries, *, trc="srgb", name=b"made for a test", space=b"RGB "):
    """The bytes of a display profile."""
    tags = {
        b"desc": b"desc" + bytes(4) + struct.pack(">I", len(name) + 1) + name + b"\0" + bytes(78),
        b"wtpt": b"XYZ " + bytes(4) + struct.pack(">3i", *np.rint(D50 * 65536).astype(int)),
        b"cprt": b"text" + bytes(4) + b"none\0",
    }
    for letter, column in zip(b"rgb", columns(primaries).T, strict=True):
        tag = bytes([letter]) + b"XYZ"
        tags[tag] = b"XYZ " + bytes(4) + struct.pack(">3i", *np.rint(column * 65536).astype(int))
        tags[bytes([letter]) + b"TRC"] = curve(trc)
    table, data = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for tag, content in tags.items():
        content += bytes(-len(content) % 4)
        table += tag + struct.pack(">II", start + len(data), len(content))
        data += content
    head = struct.pack(
        ">I4sI4s4s4s", start + len(data), b"none", 0x02400000, b"mntr", space, b"XYZ "
    )
    head += struct.pack(">6H", 2026, 11, 25, 0, 0, 0) + b"acsp" + bytes(28)
    head += struct.pack(">3i", *np.rint(D50 * 65536).astype(int))
    return head + bytes(128 - len(head)) + table + data
