"""The printable photo sheet as a file, with codes given or the library's next ones, or with
places for her own recorded yarn."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from ...errors import BadValue, NotFound
from ...library import Library, Swatch, is_library
from ...library.codes import parse_code
from ...paper.own_sheet import SheetPiece, own_sheet_pdf
from ...paper.photo_sheet import sheet_pdf
from ...photo.sheet.layout import OWN_PLACES, OWN_SHEET
from ..text.files import check_free, write_whole
from .own_pieces import as_piece, own_pieces

_WHAT = "the photo sheet"
_MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()


def sheet(
    out: str | Path,
    *,
    places: int | None = None,
    paper: str = "A4",
    codes: Sequence[str] = (),
    library: str | Path | None = None,
    own: bool = False,
    overwrite: bool = False,
) -> dict[str, Any]:
    """Write the photo sheet as a PDF; returns what was written, as plain values.

    out : the file. places : 1, 4 or 8; 4 unless given. paper : A4 or Letter. codes : swatch
    codes in the order of the places; places without one have a line to write on. library : a
    folder; the codes are then those it gives to the next swatches put on record there, in this
    order. own : the sheet that carries her own yarn instead, six swatches of that library spread
    over its colours, beside which whatever lies on its three open places is read. overwrite :
    whether a file that is there may be replaced.
    Raises BadValue when an argument cannot be, a code does not read back, or the file is there;
    NotEnoughSwatches where fewer than 12 swatches have a colour to choose from.
    """
    if own and (codes or places is not None or library is None):
        raise BadValue(
            "The sheet with your own yarn has its six places and three open ones, and its codes "
            "are your library's; name the library, and leave places and codes out."
        )
    if codes and library is not None:
        raise BadValue("Give codes, or ask for the library's next ones, not both.")
    path = Path(out)
    if path.suffix.lower() != ".pdf":
        raise BadValue(f"The photo sheet is a PDF, and '{path.name}' does not end in .pdf.")
    instead = "Give another name with --out, or say --overwrite"
    check_free(path, what=_WHAT, instead=instead, ours=lambda _: overwrite)
    pieces: list[Swatch] = []
    near = ""
    if own and library is not None:
        count = OWN_SHEET
        pieces, near = own_pieces(library)
        given = [piece.code for piece in pieces]
        data = own_sheet_pdf(
            [SheetPiece(s.code, _lines(s)) for s in pieces],
            paper=paper,
            library=Path(library).resolve().name,
            date=f"{date.today():%d} {_MONTHS[date.today().month - 1]} {date.today():%Y}",
        )
    else:
        count = 4 if places is None else places
        given = [parse_code(text) for text in codes]
        if library is not None:
            given = next_codes(library, count)
        data = sheet_pdf(count, paper=paper, codes=given)
    write_whole(path, data, what=_WHAT, instead="Give another name with --out")
    return {
        "file": str(path),
        "paper": paper,
        "places": count,
        "codes": given,
        "library": None if library is None else str(library),
        "own": [as_piece(s) for s in pieces],
        "own_words": near,
        "open_places": list(range(OWN_PLACES + 1, OWN_SHEET + 1)) if own else [],
    }


def _lines(swatch: Swatch) -> tuple[str, ...]:
    told = as_piece(swatch)
    fibre = ", ".join(word for word in (told["fibre"], told["words"]) if word)
    return tuple(line for line in (told["name"], told["dyestuff"], fibre) if line)


def sheet_typed(out: str, *, codes: str | None = None, **how: Any) -> dict[str, Any]:
    """`sheet` with the codes as typed: NJCE3,E6KPC."""
    listed = [] if codes is None else [c for c in re.split(r"[,;\s]+", codes) if c]
    if codes is not None and not listed:
        raise BadValue("No code stands in --codes; give them as NJCE3,E6KPC, or leave it out.")
    return sheet(out, codes=listed, **how)


def next_codes(folder: str | Path, count: int) -> list[str]:
    """The codes that the next swatches in a library will get, in order. They are not kept free: a
    swatch recorded meanwhile takes the first. Raises NotFound where there is no library yet."""
    if not is_library(Path(folder)):
        raise NotFound(
            f"There is no library in {folder} yet, and each has codes of its own. Give codes out "
            f"with swatchbath codes {count}, which makes it, and print them with sheet --codes."
        )
    with Library(folder) as lib:
        return lib.next_codes(count)
