"""The photo sheet as a PDF: a place for the grey card and for swatches, found again in a photo."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..errors import BadValue
from ..photo.sheet.layout import OWN_SHEET, sheet_layout
from .sheet_parts import draw_card, draw_corners, draw_head, draw_place, sheet_page

_TITLE = "Photo sheet"
# The words on the sheet. Light: common practice for photographing colour, no source.
_HOW = (
    "Cover each dotted part fully. Leave the paper beside it bare.",
    "Open shade, or light from a window at one side; no lamp, no sun.",
    "Photograph from straight above, with all four corner codes.",
)
_CODE = re.compile(r"[A-Z0-9]{2,7}")


def sheet_pdf(places: int = 4, *, paper: str = "A4", codes: Sequence[str] | None = None) -> bytes:
    """The photo sheet as a PDF/A-2b file of one page.

    places : 1, 4 or 8 swatches. paper : "A4" or "Letter". codes : the swatches' codes in the
    order of the places (fewer leave the last places with a line to write on), or None.
    The same arguments give the same bytes. Every code is read back before it is printed;
    BadValue when one does not, or when a code or the paper cannot be.
    """
    if places == OWN_SHEET:
        raise BadValue("A photo sheet has 1, 4 or 8 places for swatches; see own_sheet_pdf.")
    layout = sheet_layout(places, paper)
    given = _checked(codes or (), places)
    title = f"{_TITLE}, {places} place{'s' if places > 1 else ''}, {paper}"
    with sheet_page(layout, title) as pdf:
        draw_corners(pdf, layout)
        draw_head(pdf, layout, _TITLE, _HOW)
        draw_card(pdf, layout.card)
        for place in layout.swatches:
            draw_place(pdf, place, given[place.number - 1] if place.number <= len(given) else None)
        return bytes(pdf.output())


def _checked(codes: Sequence[str], places: int) -> list[str]:
    if isinstance(codes, str):
        raise BadValue(f"Give the codes as a list, as in ['{codes}'].")
    given = [str(code) for code in codes]
    if len(given) > places:
        raise BadValue(
            f"{len(given)} swatch codes were given for a sheet with {places} "
            f"place{'s' if places > 1 else ''}. Give fewer, or print a second sheet."
        )
    for code in given:
        if not _CODE.fullmatch(code):
            raise BadValue(
                f"'{code}' cannot be printed as a swatch code: use two to seven capital letters "
                "and digits, as the library's codes are."
            )
        if given.count(code) > 1:
            raise BadValue(f"The code {code} was given twice; each place needs its own.")
    return given
