"""Codes given out before anything is told: for tags that go into the pot with the fibre."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Any

from ...errors import BadValue
from ...library import Library
from ...paper.tags import tags_pdf
from ..text.files import check_free, write_whole
from .row_writer import existing, made
from .waiting import next_of

_WHAT = "the page of tags"
_INSTEAD = "Give another name with --out, or say --overwrite"
# More than anybody ties; common sense.
_MOST, _MOST_KNOTS = 500, 20


def codes(
    library: Library | str | Path,
    count: int,
    *,
    out: str | Path | None = None,
    paper: str = "A4",
    knots: bool = False,
    overwrite: bool = False,
) -> dict[str, Any]:
    """Give out codes, each a swatch of which nothing is told yet; returns them as plain values.

    count : how many. out : a PDF of tags to print; without it the codes are for writing by hand.
    knots : give each a number of knots as well, 1 to `count`, for a thread that outlives any tag.
    A code that was given out is never given to another swatch. Raises BadValue.
    """
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= _MOST:
        raise BadValue(f"{count} codes cannot be given out; ask for 1 to {_MOST}.")
    if knots and count > _MOST_KNOTS:
        raise BadValue(
            f"{count} knots are too many to tie and to count. Give out {_MOST_KNOTS} codes with "
            "knots at a time, or write the codes on tags."
        )
    path = None if out is None else Path(out)
    if path is not None:
        if path.suffix.lower() != ".pdf":
            raise BadValue(f"The page of tags is a PDF, and '{path.name}' does not end in .pdf.")
        check_free(path, what=_WHAT, instead=_INSTEAD, ours=lambda _: overwrite)
    numbers = list(range(1, count + 1)) if knots else []
    with ExitStack() as stack:
        lib = made(stack, library, existing(stack, library))
        with lib.atomic():
            given = [lib.add_swatch(extra=_knots(i, knots)) for i in range(1, count + 1)]
            if path is not None:
                data = tags_pdf(given, knots=numbers, paper=paper)
                write_whole(path, data, what=_WHAT, instead=_INSTEAD)
    return {
        "codes": given,
        "swatches": [{"code": code, "name": None} for code in given],
        "knots": dict(zip(given, numbers, strict=False)),
        "file": None if path is None else str(path),
        "next": next_of({"given out": [{"code": code} for code in given]}),
    }


def _knots(number: int, wanted: bool) -> dict[str, str]:
    return {"knots": f"{number} knot{'' if number == 1 else 's'}"} if wanted else {}
