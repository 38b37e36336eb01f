"""The printable photo sheet as a file, with codes given or the library's next ones."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ...errors import BadValue, NotFound
from ...library import Library, is_library
from ...library.codes import code, parse_code
from ...paper.photo_sheet import sheet_pdf
from ..text.files import check_free, write_whole

_WHAT = "the photo sheet"


def sheet(
    out: str | Path,
    *,
    places: int = 4,
    paper: str = "A4",
    codes: Sequence[str] = (),
    library: str | Path | None = None,
    overwrite: bool = False,
) -> dict[str, Any]:
    """Write the photo sheet as a PDF; returns what was written, as plain values.

    out : the file. places : 1, 4 or 8. paper : A4 or Letter. codes : swatch codes in the order of
    the places; places without one have a line to write on. library : a folder; the codes are then
    those it gives to the next swatches put on record there, in this order.
    overwrite : whether a file that is there may be replaced.
    Raises BadValue when an argument cannot be, a code does not read back, or the file is there.
    """
    if codes and library is not None:
        raise BadValue("Give codes, or ask for the library's next ones, not both.")
    path = Path(out)
    if path.suffix.lower() != ".pdf":
        raise BadValue(f"The photo sheet is a PDF, and '{path.name}' does not end in .pdf.")
    instead = "Give another name with --out, or say --overwrite"
    check_free(path, what=_WHAT, instead=instead, ours=lambda _: overwrite)
    given = [parse_code(text) for text in codes]
    if library is not None:
        given = next_codes(library, places)
    data = sheet_pdf(places, paper=paper, codes=given)
    write_whole(path, data, what=_WHAT, instead="Give another name with --out")
    return {
        "file": str(path),
        "paper": paper,
        "places": places,
        "codes": given,
        "library": None if library is None else str(library),
    }


def sheet_typed(out: str, *, codes: str | None = None, **how: Any) -> dict[str, Any]:
    """`sheet` with the codes as typed: NJCE3,E6KPC."""
    listed = [] if codes is None else [c for c in re.split(r"[,;\s]+", codes) if c]
    if codes is not None and not listed:
        raise BadValue("No code stands in --codes; give them as NJCE3,E6KPC, or leave it out.")
    return sheet(out, codes=listed, **how)


def next_codes(folder: str | Path, count: int) -> list[str]:
    """The codes that the next swatches in a library will get, in order; its first where there is
    none yet. They are not kept free: a swatch recorded meanwhile takes the first."""
    if not is_library(Path(folder)):
        return [code(number) for number in range(count)]
    with Library(folder) as lib:
        used = lib.codes()
        number = len(used)
        # Codes that are somebody's name are skipped, so the last may stand further on.
        while used and code(number - 1) != used[-1]:
            number += 1
        out: list[str] = []
        while len(out) < count:
            if _free(lib, code(number)):
                out.append(code(number))
            number += 1
    return out


def _free(library: Library, key: str) -> bool:
    try:
        library.swatch(key)
    except NotFound:
        return True
    return False
