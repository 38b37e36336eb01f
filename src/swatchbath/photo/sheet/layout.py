"""Where everything lies on the photo sheet, in millimetres from the top left corner of the paper.

Plain values, shared by the PDF that is printed and by the finder that reads a photo of it. Change
any of them and raise VERSION: a sheet printed before must not be read with the new places.

The sheet: a QR code at each corner, the grey card's place in the middle, places for swatches
around it, and bare paper beside every place, by which the evenness of the light is judged. The
sheet that carries her own yarn has six places about the card for snippets of recorded swatches,
and three open ones for what is to be read beside them.
Sizes are our own choice; the paper sizes are ISO 216 (A4) and ANSI/ASME Y14.1 (Letter), from
memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import partial

import numpy as np

from ...colorimetry.lab import Array
from ...errors import BadValue

VERSION = 1
MARK = "SWATCHBATH"
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
PLACES = (1, 4, 8)
# The sheet that carries her own yarn: places in all, of which the first so many are for it.
OWN_SHEET, OWN_PLACES = 9, 6
# Clockwise from the top left, as the sheet is read.
CORNERS = ("top left", "top right", "bottom right", "bottom left")

# Side of a corner code without its white border; at 21 modules a module is 1.2 mm. Codes of this
# size were read in all simulated photos of a whole sheet 1600 pixels long.
CORNER_CODE = 25.0
# Side of a swatch's own code: modules of 0.67 mm, as wide as fits under the narrowest frame.
SWATCH_CODE = 14.0
# Modules along a code of version 1, and its white border (ISO/IEC 18004, from memory).
MODULES = 21
QUIET = 4

# Everything printed stays this far inside the paper; printers leave up to about 6 mm white.
_INSET = 12.0
_GUTTER = 12.0  # white paper between columns
_STRIP = 20.0  # below each frame, for its code
_OWN_STRIP = 32.0  # the same, with words about the swatch under the code
_OWN_TALL = 28.0  # frame of a snippet: 19 x 14 mm of it are read
_CODE_DOWN = 3.0  # from the frame down to its code
_HEAD = 37.0  # below the top of the corner codes: where the first frames begin
_FOOT = 34.0  # above the bottom of the corner codes
_CARD_HEIGHT = 60.0
_CARD_WIDTH = 80.0
# The part of a frame that is read: the middle, so that a swatch that is small, or laid a little
# off, still covers it.
_READ = 0.5
_PAPER_WIDTH = 7.0
_PAPER_HEIGHT = 0.6  # of the frame's

# Dots just outside the part that is read, and the cross in its middle.
DOTS_OUT, DOTS_APART, DOT = 1.5, 2.5, 0.5
CROSS = 12.0  # length of its arms from end to end
CROSS_WIDTH = 1.2

_CHECK = "0123456789ABCDEFHJKLMNPRSTUVXYZ"  # 31 characters: a prime, see `_check`
_CORNER_TEXT = re.compile(rf"{MARK}-(\d)(\d)([AL])([1-4])([{_CHECK}])")
_SWATCH_TEXT = re.compile(r"SW-([A-Z0-9]{2,7})")


@dataclass(frozen=True)
class Box:
    """An upright rectangle on the paper, in mm."""

    x: float
    y: float
    width: float
    height: float

    @property
    def centre(self) -> tuple[float, float]:
        """(x, y) of the middle."""
        return self.x + self.width / 2, self.y + self.height / 2

    def corners(self) -> Array:
        """(4, 2): top left, top right, bottom right, bottom left."""
        right, bottom = self.x + self.width, self.y + self.height
        return np.array([[self.x, self.y], [right, self.y], [right, bottom], [self.x, bottom]])

    def middle(self, share: float) -> Box:
        """The box about the same centre with its sides shortened to this share."""
        cx, cy = self.centre
        width, height = share * self.width, share * self.height
        return Box(cx - width / 2, cy - height / 2, width, height)


@dataclass(frozen=True)
class Place:
    """One place for a swatch (or for the card, number 0).

    frame : what is printed. read : the part whose colour is read. code : where its own code
    stands. paper : bare paper left and right of the frame. cell : frame, code and a little
    around; a code seen in it names the swatch.
    """

    number: int
    frame: Box
    read: Box
    code: Box
    paper: tuple[Box, ...]
    cell: Box


@dataclass(frozen=True)
class SheetLayout:
    """The whole sheet. corners : the corner codes by CORNERS. line : (x1, x2, y) of the 100 mm."""

    paper: str
    places: int
    width: float
    height: float
    corners: dict[str, Box]
    card: Place
    swatches: tuple[Place, ...]
    line: tuple[float, float, float]

    @property
    def own(self) -> int:
        """How many of the swatches' places, from the first, are for her own recorded yarn."""
        return OWN_PLACES if self.places == OWN_SHEET else 0


def sheet_layout(places: int, paper: str) -> SheetLayout:
    """The layout for 1, 4 or 8 swatches, or that with her own yarn (`OWN_SHEET`), on A4 or Letter;
    BadValue for anything else.

    >>> [place.number for place in sheet_layout(4, "A4").swatches]
    [1, 2, 3, 4]
    """
    if places not in (*PLACES, OWN_SHEET):
        raise BadValue(f"A photo sheet has 1, 4 or 8 places for swatches, not {places}.")
    if paper not in PAPERS:
        raise BadValue(f"The paper '{paper}' is not known; choose A4 or Letter.")
    width, height = PAPERS[paper]
    right, low = width - _INSET - CORNER_CODE, height - _INSET - CORNER_CODE
    spots = [(_INSET, _INSET), (right, _INSET), (right, low), (_INSET, low)]
    corners = {
        name: Box(x, y, CORNER_CODE, CORNER_CODE)
        for name, (x, y) in zip(CORNERS, spots, strict=True)
    }
    top, bottom = _INSET + _HEAD, height - _INSET - _FOOT
    own = places == OWN_SHEET
    card, frames = (_own_frames if own else partial(_frames, places))(width, top, bottom)
    strips = [_OWN_STRIP if own and i < OWN_PLACES else _STRIP for i in range(len(frames))]
    line = (width / 2 - 50, width / 2 + 50, height - _INSET - 6)
    return SheetLayout(
        paper=paper,
        places=places,
        width=width,
        height=height,
        corners=corners,
        card=_place(0, card, _STRIP),
        swatches=tuple(
            _place(i + 1, frame, strip)
            for i, (frame, strip) in enumerate(zip(frames, strips, strict=True))
        ),
        line=line,
    )


def _frames(places: int, width: float, top: float, bottom: float) -> tuple[Box, list[Box]]:
    """The card's frame and the swatches', row by row."""
    inner = width - 2 * _INSET
    if places == 1:
        # One large place under the card: a whole skein.
        card = Box(width / 2 - _CARD_WIDTH / 2, top, _CARD_WIDTH, _CARD_HEIGHT)
        begin = top + _CARD_HEIGHT + 10
        wide = inner - 2 * _GUTTER
        return card, [Box(_INSET + _GUTTER, begin, wide, bottom - begin - _STRIP)]
    if places == 4:
        # Two rows of two, wide enough for small skeins, with the card between the rows.
        wide = (inner - 2 * _GUTTER) / 2
        tall = (bottom - top - _CARD_HEIGHT - 2 * _STRIP - 6) / 2
        middle = top + tall + _STRIP
        card = Box(width / 2 - _CARD_WIDTH / 2, middle, _CARD_WIDTH, _CARD_HEIGHT)
        columns = [_INSET, width - _INSET - wide]
        rows = [top, middle + _CARD_HEIGHT + 6]
        return card, [Box(x, y, wide, tall) for y in rows for x in columns]
    # Three rows of three about the card; windings and cuts of cloth.
    wide, tall = 44.0, (bottom - top) / 3 - _STRIP
    card_wide = inner - 2 * wide - 2 * _GUTTER
    columns = [_INSET, width / 2 - wide / 2, width - _INSET - wide]
    rows = [top + i * (bottom - top) / 3 for i in range(3)]
    card_tall = min(_CARD_HEIGHT, tall + _STRIP - 6)
    card = Box(width / 2 - card_wide / 2, rows[1], card_wide, card_tall)
    boxes = [Box(x, y, wide, tall) for y in rows for x in columns]
    return card, boxes[:4] + boxes[5:]


def _own_frames(width: float, top: float, bottom: float) -> tuple[Box, list[Box]]:
    """The same for the sheet that carries her own yarn: four columns; snippets above and below,
    the open places left and right of the card and under it, each with yarn on two sides."""
    wide = (width - 2 * _INSET - 3 * _GUTTER) / 4
    columns = [_INSET + i * (wide + _GUTTER) for i in range(4)]
    middle = top + _OWN_TALL + _OWN_STRIP
    low = bottom - _OWN_TALL - _OWN_STRIP
    own = [Box(x, top, wide, _OWN_TALL) for x in columns]
    own += [Box(x, low, wide, _OWN_TALL) for x in (columns[0], columns[3])]
    card = Box(columns[1], (middle + low - _CARD_HEIGHT) / 2, 2 * wide + _GUTTER, _CARD_HEIGHT)
    beside = [Box(x, middle, wide, low - middle - _STRIP) for x in (columns[0], columns[3])]
    return card, [*own, *beside, Box(columns[1], low, card.width, _OWN_TALL)]


def _place(number: int, frame: Box, strip: float) -> Place:
    read = frame.middle(_READ)
    tall = _PAPER_HEIGHT * frame.height
    top = frame.centre[1] - tall / 2
    # The middle of the gutter beside the frame, or of the paper's margin.
    off = (_GUTTER - _PAPER_WIDTH) / 2
    paper = (
        Box(frame.x - off - _PAPER_WIDTH, top, _PAPER_WIDTH, tall),
        Box(frame.x + frame.width + off, top, _PAPER_WIDTH, tall),
    )
    code = Box(frame.x, frame.y + frame.height + _CODE_DOWN, SWATCH_CODE, SWATCH_CODE)
    cell = Box(
        frame.x - _GUTTER / 3,
        frame.y - 1,
        frame.width + 2 * _GUTTER / 3,
        frame.height + strip,
    )
    return Place(number, frame, read, code, paper, cell)


def _check(text: str) -> str:
    """A check character over the 31 of `_CHECK` (weights 1, 2, 3 ... over a prime field)."""
    return _CHECK[sum((i + 1) * ord(ch) for i, ch in enumerate(text)) % len(_CHECK)]


def corner_text(places: int, paper: str, corner: str) -> str:
    """What a corner code says: our mark, layout version, places, paper, corner, check.

    >>> corner_text(8, "A4", "top left")
    'SWATCHBATH-18A1Y'
    """
    body = f"{MARK}-{VERSION}{places}{paper[0]}{CORNERS.index(corner) + 1}"
    return body + _check(body)


def read_corner_text(text: str) -> tuple[int, int, str, str] | None:
    """(version, places, paper, corner) of a corner code's text; None when it is not one of ours."""
    found = _CORNER_TEXT.fullmatch(text)
    if found is None or _check(text[:-1]) != text[-1]:
        return None
    paper = next(name for name in PAPERS if name[0] == found[3])
    return int(found[1]), int(found[2]), paper, CORNERS[int(found[4]) - 1]


def swatch_text(code: str) -> str:
    """What a swatch's own code says; the letters before it keep it apart from a shop's codes.

    >>> swatch_text("3467A")
    'SW-3467A'
    """
    return f"SW-{code}"


def read_swatch_text(text: str) -> str | None:
    """The swatch code in a QR code's text; None when it is not one of ours."""
    found = _SWATCH_TEXT.fullmatch(text)
    return found[1] if found else None
