"""A page of tags for swatches: a code to pencil over, its QR code, and its number of knots.

Black on white only, as the photo sheet is. Sizes are our own choice; paper sizes as there.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ..errors import BadValue
from ..photo.sheet.layout import MODULES, PAPERS, SWATCH_CODE, swatch_text
from .qr import modules

if TYPE_CHECKING:
    from fpdf import FPDF

_MARGIN = 12.0
_ACROSS = 3
_TALL = 30.0
_HOLE = 4.0  # where the thread goes through
_NO_DATE = datetime.fromtimestamp(0, UTC)
_HEAD = (
    "Tags for swatches. Print on spun-bonded or waterproof paper, or tie them on after dyeing.",
    "Other paper does not outlive a pot, and ink runs: write in pencil, or tie knots. Cut along "
    "the lines.",
)


def tags_pdf(codes: Sequence[str], *, knots: Sequence[int] = (), paper: str = "A4") -> bytes:
    """Tags as a PDF, as many pages as it takes; the same arguments give the same bytes.

    codes : of the swatches. knots : how many knots each tag's thread gets, as many as codes, or
    none. paper : "A4" or "Letter". Every QR code is read back before it is printed. Raises
    BadValue.
    """
    if paper not in PAPERS:
        raise BadValue(f"There is no paper '{paper}' here; use {' or '.join(PAPERS)}.")
    if knots and len(knots) != len(codes):
        raise BadValue("Give a number of knots for each code, or for none.")
    from fpdf import FPDF
    from fpdf.fonts import TTFFont

    width, height = PAPERS[paper]
    pdf = FPDF(unit="mm", format=(width, height))
    pdf.set_creation_date(_NO_DATE)
    pdf.set_title("Tags for swatches")
    pdf.set_lang("en-GB")
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    try:
        for family, name in (("Serif", "DejaVuSerif.ttf"), ("Sans", "DejaVuSans.ttf")):
            with as_file(files(__package__) / "fonts" / name) as path:
                pdf.add_font(family, "", Path(path))
        down = int((height - 2 * _MARGIN - 8) // _TALL)
        side = (width - 2 * _MARGIN) / _ACROSS
        for i, code in enumerate(codes):
            place = i % (_ACROSS * down)
            if place == 0:
                pdf.add_page()
                pdf.set_font("Serif", "", 9)
                for number, line in enumerate(_HEAD):
                    pdf.text(_MARGIN, _MARGIN + 4 * number - 1, line)
            x = _MARGIN + place % _ACROSS * side
            y = _MARGIN + 8 + place // _ACROSS * _TALL
            _draw_tag(pdf, x, y, side, code, knots[i] if knots else None)
        return bytes(pdf.output())
    finally:
        for font in pdf.fonts.values():
            if isinstance(font, TTFFont):
                font.close()


def _draw_tag(pdf: FPDF, x: float, y: float, side: float, code: str, knots: int | None) -> None:
    pdf.set_draw_color(0)
    pdf.set_fill_color(0)
    pdf.set_line_width(0.2)
    pdf.rect(x, y, side, _TALL)
    pdf.ellipse(x + 2, y + (_TALL - _HOLE) / 2, _HOLE, _HOLE)
    dark = modules(swatch_text(code))
    size = SWATCH_CODE / MODULES
    left, top = x + side - SWATCH_CODE - 4, y + (_TALL - SWATCH_CODE) / 2
    for row, column in np.argwhere(dark):
        # A hair wider than a module, so that no line shows between two.
        pdf.rect(left + column * size, top + row * size, size * 1.02, size * 1.02, style="F")
    pdf.set_font("Sans", "", 19)
    pdf.text(x + 9, y + 12, code)
    pdf.set_font("Serif", "", 8)
    if knots is not None:
        pdf.text(x + 9, y + 18, f"{knots} knot{'' if knots == 1 else 's'}")
    pdf.line(x + 9, y + 25, left - 4, y + 25)
