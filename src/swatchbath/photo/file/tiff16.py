"""16-bit TIFF, through the optional tifffile: Pillow would read it in 8 bits."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from ...errors import PhotoRefused
from .formats import Opened, camera_of, check_size, missing, orientation_of
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
    with tifffile.TiffFile(io.BytesIO(data)) as file:
        page = file.pages[0]
        if not isinstance(page, tifffile.TiffPage):
            raise ValueError("no first page")
        check_size(name, (page.imagewidth, page.imagelength))
        if page.dtype != np.uint16 or page.axes not in ("YXS", "SYX"):
            raise ValueError("not a plain 16-bit picture")
        size = sorted((page.imagewidth, page.imagelength))
        if size != sorted(image.size) or not 3 <= page.samplesperpixel <= 4:
            raise ValueError("two readers do not agree on its shape")
        values = page.asarray(maxworkers=1)
        several = len(file.pages) > 1
    codes: Codes = np.moveaxis(values, 0, -1) if page.axes == "SYX" else values
    notes = ("transparency was left out",) if codes.shape[2] > 3 else ()
    if several:
        notes = (*notes, "holds several pictures; the first was used")
    exif = image.getexif()
    return Opened(
        Picture(codes, orientation_of(exif)), image.info.get("icc_profile"), camera_of(exif), notes
    )
