"""The photo sheet that carries her own yarn, as a PDF: whatever lies on its open places is read
beside six recorded swatches, of which a snippet each is stapled to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..errors import BadValue
from ..photo.sheet.layout import OWN_PLACES, OWN_SHEET, Place, sheet_layout
from .sheet_parts import (
    draw_card,
    draw_corners,
    draw_head,
    draw_place,
    draw_text,
    fitted,
    sheet_page,
)

if TYPE_CHECKING:
    from fpdf import FPDF

_TITLE = "Photo sheet with your own yarn"
_HOW = (
    "Staple a dry snippet of each of the six over its dotted part, for good.",
    "Grey card in the middle; what is to be read on 7, 8 and 9, dry.",
    "From straight above, all four corners; a window's light, no lamp.",
)
# Words under a snippet's code: from the code's foot to the first line, and between lines, in mm.
_FIRST, _NEXT, _WORDS = 4.6, 3.6, ("Serif", "", 8.0)


@dataclass(frozen=True)
class SheetPiece:
    """A recorded swatch on the sheet: its code, and up to three lines of words about it."""

    code: str
    lines: tuple[str, ...]


def own_sheet_pdf(
    pieces: Sequence[SheetPiece], *, paper: str = "A4", library: str, date: str
) -> bytes:
    """The sheet with her own yarn as a PDF/A-2b file of one page.

    pieces : six of them, in the order of their places. paper : "A4" or "Letter". library, date :
    as printed at the foot, since the sheet goes with one library and its yarn ages. The same
    arguments give the same bytes. Every code is read back before it is printed. Raises BadValue.
    """
    if len({p.code for p in pieces}) != OWN_PLACES or len(pieces) != OWN_PLACES:
        raise BadValue(
            f"The sheet carries {OWN_PLACES} swatches, each another; {len(pieces)} were given."
        )
    layout = sheet_layout(OWN_SHEET, paper)
    with sheet_page(layout, f"{_TITLE}, {paper}") as pdf:
        draw_corners(pdf, layout)
        draw_head(pdf, layout, _TITLE, _HOW, f"; library {fitted(pdf, library, 45)}, {date}")
        draw_card(pdf, layout.card)
        for place in layout.swatches:
            if place.number <= layout.own:
                piece = pieces[place.number - 1]
                draw_place(pdf, place, piece.code)
                _draw_words(pdf, place, piece.lines)
            else:
                draw_place(pdf, place, None)
        return bytes(pdf.output())


def _draw_words(pdf: FPDF, place: Place, lines: Sequence[str]) -> None:
    foot = place.code.y + place.code.height + _FIRST
    for i, line in enumerate(lines[:3]):
        shown = fitted(pdf, line, place.frame.width, _WORDS)
        draw_text(pdf, place.code.x, foot + i * _NEXT, shown, _WORDS)
