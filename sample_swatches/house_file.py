"""Write a drawn picture as a JPEG file: colour profile, orientation tag, quality under a limit."""

import io
import struct

import colour
import numpy as np
from PIL import Image

# EXIF tag numbers (CIPA DC-008): Make, Model, Orientation, DateTime, and in the Exif part
# DateTimeOriginal.
_MAKE, _MODEL, _ORIENTATION, _DATETIME = 0x010F, 0x0110, 0x0112, 0x0132
_EXIF_PART, _TAKEN = 0x8769, 0x9003
# Turns of the stored picture that each orientation tag undoes: np.rot90 counts anticlockwise.
_STORED_TURN = {1: 0, 3: 2, 6: 1, 8: 3}
_SPACES = {"sRGB": "sRGB", "P3": "Display P3"}


def _fixed(value):
    """A number as ICC s15Fixed16 (ICC.1:2001-04)."""
    return struct.pack(">i", round(float(value) * 65536))


def matrix_profile(space):
    """Bytes of a minimal ICC version 2 display profile: sRGB curve, primaries of `space`.

    ICC.1:2001-04: header, tag table, and desc, cprt, wtpt, the three colorants adapted to D50 by
    Bradford, and one curve of 1024 steps shared by the three channels.
    """
    own = colour.RGB_COLOURSPACES[_SPACES[space]]
    d50 = np.array([0.9642, 1.0, 0.8249])  # the profile connection space's white, ICC.1
    white = own.matrix_RGB_to_XYZ.sum(1)
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, d50, "Bradford")
    colorants = (adapt @ own.matrix_RGB_to_XYZ).T
    x = np.linspace(0, 1, 1024)
    line = np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4)  # IEC 61966-2-1
    curve = b"curv" + bytes(4) + struct.pack(">I", 1024)
    curve += struct.pack(">1024H", *np.round(line * 65535).astype(int))

    def xyz(values):
        return b"XYZ " + bytes(4) + b"".join(_fixed(v) for v in values)

    name = f"drawn {space}".encode() + b"\0"
    desc = b"desc" + bytes(4) + struct.pack(">I", len(name)) + name + bytes(4 + 4 + 2 + 1 + 67)
    text = b"text" + bytes(4) + b"drawn for the sample swatches\0"
    parts = [
        (b"desc", desc), (b"cprt", text), (b"wtpt", xyz(d50)),
        (b"rXYZ", xyz(colorants[0])), (b"gXYZ", xyz(colorants[1])), (b"bXYZ", xyz(colorants[2])),
        (b"rTRC", curve), (b"gTRC", curve), (b"bTRC", curve),
    ]  # fmt: skip
    offset, table, body, seen = 128 + 4 + 12 * len(parts), b"", b"", {}
    for tag, data in parts:
        if data not in seen:
            seen[data] = offset + len(body)
            body += data + bytes(-len(data) % 4)
        table += tag + struct.pack(">II", seen[data], len(data))
    head = struct.pack(">I", offset + len(body)) + bytes(4) + struct.pack(">I", 0x02400000)
    head += b"mntrRGB XYZ " + struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(4)
    head += bytes(4 + 4 + 4 + 8 + 4) + b"".join(_fixed(v) for v in d50)
    head += bytes(128 - len(head))
    return head + struct.pack(">I", len(parts)) + table + body


def save_jpeg(
    path, array, *, quality=90, limit=None, space="sRGB", profile=True, orientation=1,
    make=None, model=None, taken=None, exif=True,
):  # fmt: skip
    """Save an upright picture (h, w, 3) uint8 as a JPEG, 4:2:0; return its size in bytes.

    limit: greatest size in bytes; quality falls by 2 down to 60 until it fits. space: sRGB or P3,
    the space the array is in; profile: embed it. orientation 1, 3, 6 or 8: the stored picture is
    turned so that the tag brings it upright again. make, model, taken: EXIF texts;
    without exif nothing of the kind is written, not even the orientation.
    """
    image = Image.fromarray(np.ascontiguousarray(np.rot90(array, _STORED_TURN[orientation])))
    tags = Image.Exif()
    tags[_ORIENTATION] = orientation
    for tag, text in ((_MAKE, make), (_MODEL, model), (_DATETIME, taken)):
        if text:
            tags[tag] = text
    if taken:
        tags.get_ifd(_EXIF_PART)[_TAKEN] = taken
    extra = {"icc_profile": matrix_profile(space)} if profile else {}
    extra |= {"exif": tags} if exif else {}
    while True:
        held = io.BytesIO()
        image.save(held, "JPEG", quality=quality, subsampling="4:2:0", optimize=True, **extra)  # fmt: skip  # noqa: E501
        if limit is None or held.tell() <= limit or quality <= 60:
            break
        quality -= 2
    with open(path, "wb") as file:
        file.write(held.getvalue())
    return held.tell()
