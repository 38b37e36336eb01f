"""The decoded pixels of a photo, held once; upright windows are cut out of them when wanted.

A photo of 12 megapixels fills 36 MB in 8 bits and 288 MB as floats, so it is never turned into
floats, nor copied to be turned upright: only the marked places are.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

# Modes whose first three channels are red, green, blue in 8 bits, so that no conversion is needed.
_READY = ("RGB", "RGBA", "RGBX")
# A window is cut in bands of at most so many pixels: 4 MB each. Our own choice.
_BAND = 1 << 20
# EXIF 2.3, tag 0x0112: whether rows and columns are swapped, and, before that, whether the stored
# rows and the stored columns run backwards.
_TURNS = {
    1: (False, False, False),
    2: (False, False, True),
    3: (False, True, True),
    4: (False, True, False),
    5: (True, False, False),
    6: (True, True, False),
    7: (True, True, True),
    8: (True, False, True),
}

Codes = NDArray[np.uint8] | NDArray[np.uint16]


class Picture:
    """Decoded pixels: a Pillow image, or an array (h, w, 3) of uint8 or uint16, as stored.

    orientation : EXIF's 1 to 8; any other number counts as 1. size : (width, height), upright.
    deep : whether codes go to 65535 rather than 255.
    """

    def __init__(self, source: Image.Image | Codes, orientation: int = 1) -> None:
        self._swap, self._row_back, self._column_back = _TURNS.get(orientation, _TURNS[1])
        if isinstance(source, Image.Image):
            source.load()
            if source.mode not in _READY:
                source = source.convert("RGB")
            width, height = source.size
        else:
            height, width = source.shape[:2]
        self._source = source
        self._stored = (width, height)
        self.size = (height, width) if self._swap else (width, height)
        self.deep = not isinstance(source, Image.Image) and source.dtype == np.uint16

    def window(self, x0: int, y0: int, x1: int, y1: int, step: int = 1) -> Codes:
        """Codes (rows, columns, 3) of columns x0 to x1 and rows y0 to y1, ends not included;
        of these every `step`th."""
        columns, rows = range(x0, x1, step), range(y0, y1, step)
        shape = (len(rows), len(columns), 3)
        out: Codes = np.empty(shape, np.uint16) if self.deep else np.empty(shape, np.uint8)
        band = max(1, _BAND // max(len(columns), 1))
        for row in range(0, len(rows) if columns else 0, band):
            out[row : row + band] = self._upright(columns, rows[row : row + band])
        return out

    def whole(self) -> Codes:
        """All codes (height, width, 3)."""
        return self.window(0, 0, *self.size)

    def _upright(self, columns: range, rows: range) -> Codes:
        across, down = (rows, columns) if self._swap else (columns, rows)
        width, height = self._stored
        # Of rows or columns stored backwards the last comes first.
        left = width - 1 - across[-1] if self._column_back else across[0]
        top = height - 1 - down[-1] if self._row_back else down[0]
        step = across.step
        if isinstance(self._source, Image.Image):
            # Pixel i is taken at left + step * i: half a step is what Pillow adds by itself.
            places = (step, 0, left + 0.5 - step / 2, 0, step, top + 0.5 - step / 2)
            taken = self._source.transform(
                (len(across), len(down)),
                Image.Transform.AFFINE,
                places,
                Image.Resampling.NEAREST,
            )
            block = np.asarray(taken)[..., :3]
        else:
            right, bottom = left + step * len(across), top + step * len(down)
            block = self._source[top:bottom:step, left:right:step, :3]
        if self._row_back:
            block = block[::-1]
        if self._column_back:
            block = block[:, ::-1]
        return block.transpose(1, 0, 2) if self._swap else block
