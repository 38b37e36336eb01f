"""HEIC photos, through the optional pillow-heif."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from PIL import Image

from ...errors import PhotoRefused
from .formats import Opened, camera_of, check_size, damaged, decoding, missing, taken_of
from .icc import CodedSpace
from .picture import Codes, Picture


def open_heic(data: bytes, name: str) -> Opened:
    """Decode a HEIC photo's main picture, 8 bits or, where it holds more, 16.

    The decoder turns the pixels upright by the file's own boxes, which stand above EXIF
    (ISO/IEC 23008-12), so EXIF's orientation is not used. Raises PhotoRefused without the extra.
    """
    try:
        import pillow_heif
    except ImportError as error:
        raise PhotoRefused(missing(name, "a HEIC photo", "heic")) from error
    with decoding(name):
        file = pillow_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=False)
        main = file[file.primary_index]
        info: dict[str, Any] = dict(main.info)
    check_size(name, main.size)
    if main.mode.split(";")[0] not in ("RGB", "RGBA", "RGBa"):
        raise PhotoRefused(
            f"{name} is a grey picture ({main.mode}), not a colour photo in RGB. Use the photo "
            "as the camera wrote it."
        )
    exif = Image.Exif()
    with decoding(name):
        # A copy: decoders before 1.8 free the pixels with the file.
        codes: Codes = np.array(main)
        if info.get("exif"):
            exif.load(info["exif"])
        camera, taken = camera_of(exif), taken_of(exif)
    if codes.ndim != 3 or codes.shape[2] < 3:
        raise PhotoRefused(damaged(name))
    coded = info.get("nclx_profile")
    notes = []
    if len(file) > 1:
        notes.append("holds several pictures; the main one was used")
    if codes.shape[2] > 3:
        notes.append("transparency was left out")
    colours: bytes | CodedSpace | None = info.get("icc_profile")
    if not colours and coded:
        colours = CodedSpace(int(coded["color_primaries"]), int(coded["transfer_characteristics"]))
    return Opened(Picture(codes), colours, camera, tuple(notes), taken=taken)
