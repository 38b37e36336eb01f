"""QR codes in a photo: what they say and where their corners are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...colorimetry.lab import Array

Grey = NDArray[np.uint8]

# A corner's place is returned in whole pixels counted from the pixel's edge; ours are centres.
# Measured on 20 drawn codes: 0.60 across and 0.59 down on average.
_HALF_PIXEL = 0.5
# A second look: the picture enlarged and sharpened. Of 40 hard drawn photos (560 to 900 pixels,
# tilted, blurred, dim) three codes or more were read in 6 as they were, in 6 with their local
# contrast stretched (the reader does that itself), in 9 enlarged, in 11 enlarged and sharpened.
_ENLARGE, _ENLARGED_PIXELS = 2.0, 4000
_BLUR = 1.5  # pixels before enlarging
_SHARPEN = 3.0


@dataclass(frozen=True, eq=False)
class SeenCode:
    """text, and corners (4, 2) in pixels: the code's own top left, top right, bottom right and
    bottom left. The bottom right of a code of version 1 is extrapolated by the reader and may be
    some pixels off."""

    text: str
    corners: Array

    @property
    def centre(self) -> Array:
        """(2,) pixels; the middle of the well-known diagonal."""
        return np.asarray((self.corners[1] + self.corners[3]) / 2)


def grey_picture(pixels: NDArray[np.uint8]) -> Grey:
    """(h, w): the green of 8-bit code values (h, w, 3). Black print on white is the same in every
    channel, and green has the least noise; luma took three times as long."""
    return np.ascontiguousarray(pixels[..., 1])


def read_codes(grey: Grey) -> list[SeenCode]:
    """Every QR code that can be read in a grey picture."""
    import zxingcpp

    found = zxingcpp.read_barcodes(
        np.ascontiguousarray(grey),
        formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode),
        try_invert=False,
    )
    out = []
    for code in found:
        at = code.position
        points = (at.top_left, at.top_right, at.bottom_right, at.bottom_left)
        corners = np.array([[p.x, p.y] for p in points], dtype=float) - _HALF_PIXEL
        out.append(SeenCode(code.text, corners))
    return out


def read_enlarged(grey: Grey) -> list[SeenCode]:
    """The codes in a picture enlarged to twice its size (a large picture less), as it is and
    sharpened: codes of two pixels a module are read so. Corners in pixels of the picture."""
    zoom = max(min(_ENLARGE, _ENLARGED_PIXELS / max(grey.shape)), 1.0)
    size = (round(grey.shape[1] * zoom), round(grey.shape[0] * zoom))
    larger = np.asarray(Image.fromarray(grey).resize(size, Image.Resampling.BICUBIC))
    found = read_codes(larger) if zoom > 1 else []  # else it was read so before
    found += read_codes(sharpened(larger, _BLUR * zoom))
    # Enlarging keeps edges in place, not the centres of pixels: a half goes in and out.
    return [SeenCode(code.text, (code.corners + 0.5) / zoom - 0.5) for code in found]


def sharpened(grey: Grey, width: float) -> Grey:
    """The picture with its blur of about `width` pixels undone in part, and its contrast stretched.

    On drawn photos blurred by 0.2 to 0.75 of a module, 168 of 200 codes were read so and 124 as
    they were; twice or half this strength read 161.
    """
    from scipy import ndimage

    values = grey.astype(np.float32)
    values += _SHARPEN * (values - ndimage.gaussian_filter(values, width))
    low, high = np.quantile(values[::4, ::4], [0.01, 0.99])
    return np.asarray(np.clip((values - low) * (255 / max(high - low, 1.0)), 0, 255), np.uint8)
