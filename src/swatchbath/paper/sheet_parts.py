"""What the photo sheets are drawn of: the page, its corner codes, frames, codes and words.

Black on white only, so that a cheap printer's tint never lies by a swatch. Where everything lies
is in `photo.sheet.layout`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..photo.sheet.layout import (
    CORNERS,
    CROSS,
    CROSS_WIDTH,
    DOT,
    DOTS_APART,
    DOTS_OUT,
    MODULES,
    VERSION,
    Box,
    Place,
    SheetLayout,
    corner_text,
    swatch_text,
)
from .qr import modules

if TYPE_CHECKING:
    from fpdf import FPDF

_CARD_WORDS = ("Lay your grey card here.", "A home print is not a neutral reference.")
_SCALE_WORDS = "Print at 100 % (actual size). This line then measures 100 mm."
_FONTS = {
    ("Serif", ""): "DejaVuSerif.ttf",
    ("Serif", "B"): "DejaVuSerif-Bold.ttf",
    ("Sans", ""): "DejaVuSans.ttf",
}
_SMALL = ("Sans", "", 6.5)
# A stitch and the space after it, in the frames where fibre lies.
_STITCH, _SPACE = 2.6, 1.7
_NO_DATE = datetime.fromtimestamp(0, UTC)
# Without dates: the same sheet is the same file whenever it is made (ISO 19005-2, XMP).
_XMP = """<x:xmpmeta xmlns:x="adobe:ns:meta/">
  <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
    <rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
        xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">
      <pdfaid:part>2</pdfaid:part>
      <pdfaid:conformance>B</pdfaid:conformance>
      <dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
    </rdf:Description>
  </rdf:RDF>
</x:xmpmeta>"""


@contextmanager
def sheet_page(layout: SheetLayout, title: str) -> Iterator[FPDF]:
    """The PDF/A-2b file of one empty page of the sheet's paper, ready to be drawn on.

    Without dates: the same drawing is the same file. Its fonts are open only inside.
    """
    from fpdf import FPDF
    from fpdf.fonts import TTFFont
    from fpdf.prefs import ViewerPreferences

    pdf = FPDF(unit="mm", format=(layout.width, layout.height), enforce_compliance="PDF/A-2B")
    pdf.set_creation_date(_NO_DATE)  # else the file's ID is made of the second it was written in
    pdf.set_xmp_metadata(_XMP.format(title=title))
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None")
    pdf.set_lang("en-GB")
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    try:
        for (family, style), name in _FONTS.items():
            with as_file(files(__package__) / "fonts" / name) as path:
                pdf.add_font(family, style, Path(path))
        pdf.add_page()
        pdf.set_draw_color(0)
        pdf.set_fill_color(0)
        pdf.set_text_color(0)
        yield pdf
    finally:
        for font in pdf.fonts.values():
            if isinstance(font, TTFFont):
                font.close()  # its file, which is read when wanted


def fitted(pdf: FPDF, text: str, width: float, font: tuple[str, str, float] = _SMALL) -> str:
    """The text as far as the font has its letters and it fits into a width in mm."""
    family, style, size = font
    pdf.set_font(family, style, size)
    letters = getattr(pdf.fonts[f"{family}{style}".lower()], "cmap", {})
    shown = "".join(c if ord(c) in letters else "?" for c in " ".join(text.split()))
    if pdf.get_string_width(shown) <= width:
        return shown
    while shown and pdf.get_string_width(f"{shown}...") > width:
        shown = shown[:-1]
    return f"{shown.rstrip()}..."


def draw_text(
    pdf: FPDF, x: float, y: float, text: str, font: tuple[str, str, float], align: str = "left"
) -> None:
    """One line of text with its baseline at y."""
    pdf.set_font(font[0], font[1], font[2])
    width = pdf.get_string_width(text)
    pdf.text(x - {"left": 0.0, "middle": width / 2, "right": width}[align], y, text)


def draw_code(pdf: FPDF, box: Box, dark: NDArray[np.bool_]) -> None:
    """A code as filled rectangles; runs both along and down, so that no hairline shows between."""
    side = box.width / MODULES
    for grid, upright in ((dark, False), (dark.T, True)):
        for i, row in enumerate(grid):
            edges = np.flatnonzero(np.diff(np.pad(row.astype(int), 1)))
            for begin, end in zip(edges[::2], edges[1::2], strict=True):
                if upright and end - begin == 1:
                    continue
                along, across = begin * side, i * side
                long = (end - begin) * side
                if upright:
                    pdf.rect(box.x + across, box.y + along, side, long, style="F")
                else:
                    pdf.rect(box.x + along, box.y + across, long, side, style="F")


def draw_corners(pdf: FPDF, layout: SheetLayout) -> None:
    for corner in CORNERS:
        box = layout.corners[corner]
        text = corner_text(layout.places, layout.paper, corner)
        draw_code(pdf, box, modules(text))
        top = corner.startswith("top")
        y = box.y + box.height + 7.2 if top else box.y - 5.6
        draw_text(pdf, box.centre[0], y, text, _SMALL, "middle")


def draw_head(
    pdf: FPDF, layout: SheetLayout, title: str, sentences: Sequence[str], origin: str = ""
) -> None:
    """The title, how to use the sheet, the line of 100 mm, and what sheet it is. origin : what
    else is said of that."""
    box = layout.corners["top left"]
    left = box.x + box.width + 7
    draw_text(pdf, left, box.y + 5.2, title, ("Serif", "B", 17))
    for i, sentence in enumerate(sentences):
        draw_text(pdf, left, box.y + 13.4 + 5.3 * i, sentence, ("Serif", "", 9.5))
    x1, x2, y = layout.line
    pdf.set_line_width(0.3)
    pdf.line(x1, y, x2, y)
    for x in (x1, x2):
        pdf.line(x, y - 2, x, y + 2)
    for i in range(1, 10):
        pdf.line(x1 + 10 * i, y - 1, x1 + 10 * i, y)
    draw_text(pdf, layout.width / 2, y - 4, _SCALE_WORDS, ("Serif", "", 9), "middle")
    about = f"swatchbath photo sheet, layout {VERSION}, {layout.paper}{origin}"
    draw_text(pdf, layout.width / 2, y + 5.2, about, _SMALL, "middle")


def draw_frame(pdf: FPDF, place: Place) -> None:
    """Stitches round the frame; dots round the part that is read; a cross in it."""
    frame, read = place.frame, place.read
    pdf.set_line_width(0.45)
    pdf.set_dash_pattern(dash=_STITCH, gap=_SPACE)
    pdf.rect(frame.x, frame.y, frame.width, frame.height)
    pdf.set_dash_pattern()
    wide, tall = read.width + 2 * DOTS_OUT, read.height + 2 * DOTS_OUT
    left, top = read.x - DOTS_OUT, read.y - DOTS_OUT
    for share in np.linspace(0, 1, round(wide / DOTS_APART) + 1):
        _dot(pdf, left + share * wide, top)
        _dot(pdf, left + share * wide, top + tall)
    for share in np.linspace(0, 1, round(tall / DOTS_APART) + 1)[1:-1]:
        _dot(pdf, left, top + share * tall)
        _dot(pdf, left + wide, top + share * tall)
    cx, cy = read.centre
    pdf.rect(cx - CROSS / 2, cy - CROSS_WIDTH / 2, CROSS, CROSS_WIDTH, style="F")
    pdf.rect(cx - CROSS_WIDTH / 2, cy - CROSS / 2, CROSS_WIDTH, CROSS, style="F")


def _dot(pdf: FPDF, x: float, y: float) -> None:
    pdf.ellipse(x - DOT / 2, y - DOT / 2, DOT, DOT, style="F")


def draw_card(pdf: FPDF, card: Place) -> None:
    draw_frame(pdf, card)
    x = card.frame.centre[0]
    draw_text(pdf, x, card.frame.y + 7, _CARD_WORDS[0], ("Serif", "B", 11), "middle")
    low = card.frame.y + card.frame.height - 4.5
    draw_text(pdf, x, low, _CARD_WORDS[1], ("Serif", "", 8), "middle")


def draw_place(pdf: FPDF, place: Place, code: str | None) -> None:
    draw_frame(pdf, place)
    draw_text(pdf, place.frame.x + 2, place.frame.y + 5, str(place.number), ("Sans", "", 10))
    box = place.code
    if code is None:
        draw_text(pdf, box.x, box.y + 8, "code:", ("Serif", "", 9))
        pdf.set_line_width(0.3)
        pdf.line(box.x + 11, box.y + 8.6, place.frame.x + place.frame.width, box.y + 8.6)
        return
    draw_code(pdf, box, modules(swatch_text(code)))
    # A module of a version 1 code is a 21st of its side; its white border is four of them.
    draw_text(pdf, box.x + box.width * 25 / MODULES + 0.6, box.y + 9, code, ("Sans", "", 15))
