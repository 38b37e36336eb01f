"""16-bit TIFF, through the optional tifffile: Pillow would read it in 8 bits."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from ...errors import PhotoRefused
from .formats import (
    Opened,
    camera_of,
    check_size,
    damaged,
    decoding,
    missing,
    orientation_of,
    taken_of,
)
from .picture import Codes, Picture

# TIFF 6.0: packed by LZW, which tifffile reads only with a large further library.
_LZW = 5


def is_deep(image: Image.Image) -> bool:
    """Whether an opened TIFF holds RGB in 16 bits a channel (tag 258)."""
    bits = image.getexif().get(258) if image.format == "TIFF" else None
    return isinstance(bits, tuple) and len(bits) >= 3 and set(bits[:3]) == {16}


def is_lzw(image: Image.Image) -> bool:
    """Whether an opened TIFF is packed by LZW (tag 259)."""
    return image.getexif().get(259) == _LZW


def open_tiff16(data: bytes, name: str, image: Image.Image) -> Opened:
    """Decode the first picture of a 16-bit RGB TIFF, whose head Pillow has opened as `image`.

    Raises PhotoRefused without the extra.
    """
    try:
        import tifffile
    except ImportError as error:
        raise PhotoRefused(missing(name, "a 16-bit TIFF", "tiff16")) from error
    with decoding(name), tifffile.TiffFile(io.BytesIO(data)) as file:
        page = file.pages[0]
        if not isinstance(page, tifffile.TiffPage):
            raise PhotoRefused(damaged(name))
        check_size(name, (page.imagewidth, page.imagelength))
        plain = page.dtype == np.uint16 and page.axes in ("YXS", "SYX")
        # Two readers must agree on its shape.
        alike = sorted((page.imagewidth, page.imagelength)) == sorted(image.size)
        if not (plain and alike and 3 <= page.samplesperpixel <= 4):
            raise PhotoRefused(damaged(name))
        values = page.asarray(maxworkers=1)
        several = len(file.pages) > 1
        exif = image.getexif()
        turn, camera, taken = orientation_of(exif), camera_of(exif), taken_of(exif)
    codes: Codes = np.moveaxis(values, 0, -1) if page.axes == "SYX" else values
    notes = ("transparency was left out",) if codes.shape[2] > 3 else ()
    if several:
        notes = (*notes, "holds several pictures; the first was used")
    return Opened(Picture(codes, turn), image.info.get("icc_profile"), camera, notes, taken=taken)
