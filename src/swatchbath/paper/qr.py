"""QR codes for print: made, and read back before anything is printed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..errors import BadValue
from ..photo.sheet.layout import MODULES, QUIET

# Pixels a module when a code is read back: as coarse as a poor photo shows it.
_READ_BACK = 3


def modules(text: str) -> NDArray[np.bool_]:
    """(21, 21) dark modules of a QR code of version 1, error correction M or better.

    The code is rendered and read again; BadValue when it does not come back as it was, or does
    not fit. Source: ISO/IEC 18004, through segno (making) and zxing-cpp (reading).
    """
    import segno

    try:
        made = segno.make_qr(text, version=1, error="m", mode="alphanumeric")
    except ValueError as error:
        raise BadValue(
            f"'{text}' cannot be printed as a small code: it is too long, or holds other than "
            "capital letters and digits. Use one of the library's five-character codes."
        ) from error
    dark = np.array([list(row) for row in made.matrix], dtype=bool)
    if dark.shape != (MODULES, MODULES) or read_back(dark) != text:
        raise BadValue(
            f"The printed code for '{text}' does not read back, so it was not printed. Give the "
            "swatch another code, or leave the code out and write it by hand."
        )
    return dark


def modules_of(text: str) -> NDArray[np.bool_]:
    """(n, n) dark modules of a QR code for any text, error correction M or better, read back as
    `modules` does. Raises BadValue."""
    import segno

    made = segno.make_qr(text, error="m")
    dark = np.array([list(row) for row in made.matrix], dtype=bool)
    if read_back(dark) != text:
        raise BadValue("The code to photograph could not be made. Type the address instead.")
    return dark


def read_back(dark: NDArray[np.bool_]) -> str | None:
    import zxingcpp

    quiet = np.pad(dark, QUIET)
    picture = np.where(np.kron(quiet, np.ones((_READ_BACK, _READ_BACK), bool)), 0, 255)
    found = zxingcpp.read_barcodes(
        np.ascontiguousarray(picture, dtype=np.uint8),
        formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode),
        try_invert=False,
    )
    return found[0].text if len(found) == 1 else None
