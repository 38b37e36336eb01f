"""Cells of a correction, read and checked together with what is on record, as recording is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ...errors import BadTable, BadValue

# What is told of a material goes when the material goes.
_OF = (
    (r"(tannin|mordant|assist)", r"{0}_(owf|C|minutes)"),
    (r"modifier((?:_[2-9])?)", r"modifier_(owf|pH|minutes|lot|strip){0}"),
    (r"dyestuff((?:_[2-9])?)", r"(dyestuff_form|dyestuff_lot|dye_owf){0}"),
)


def checked_cells(
    on_record: Mapping[str, Any], given: Mapping[str, Any]
) -> tuple[list[tuple[str, Any]], tuple[str, ...], dict[str, str]]:
    """The columns to set, in the order that works, checked together with those on record; what to
    ask; and cells that were typed in other units."""
    if not given:
        return [], (), {}
    import pandas as pd

    from ...conditions.spoken import in_words
    from ...conditions.table import check_conditions
    from ...conditions.vocabulary import meaning

    whole: dict[str, Any] = dict(on_record) | dict(given)
    for name, value in given.items():
        if value is None or (isinstance(value, str) and value.strip().casefold() in ("", "none")):
            for mine in _of(name):
                whole |= {n: None for n in whole if n not in given and re.fullmatch(mine, n)}
    try:
        checked = check_conditions(pd.DataFrame([whole], dtype=object), required=())
    except BadTable as error:
        raise BadValue(str(error).replace("Row 2, column ", "Column ", 1)) from error
    cells = {str(n): v for n, v in checked.table.iloc[0].to_dict().items()}
    known: dict[str, Any] = {
        n: None if v is None or v != v or v == "" else v for n, v in cells.items()
    }
    for name in known:
        if re.fullmatch(r"dye_[2-9]_how", name) and known[name] is not None:
            known[name] = meaning("dye_2_how", str(known[name]))
    changes = [(n, v) for n, v in known.items() if v != on_record.get(n)]
    # First what goes, last things first; then what comes, in the order of the columns.
    gone = [c for c in changes if c[1] is None]
    come = [c for c in changes if c[1] is not None]
    questions = tuple(
        in_words(s.replace("Row 2, column ", "Column ", 1).replace("Row 2: ", "", 1))
        for s in checked.unusual
        if any(re.search(rf"\b{re.escape(n)}\b", s) for n in given)
    )
    typed = {n: t for n, t in checked.typed[0].items() if n in given} if checked.typed else {}
    return sorted(gone, key=_place, reverse=True) + sorted(come, key=_place), questions, typed


def _place(change: tuple[str, Any]) -> tuple[int, int]:
    from ...conditions.columns import COLUMNS

    names = [c.name for c in COLUMNS]
    base = re.sub(r"_([2-9])(?=$|_how$)", "", change[0])
    number = re.search(r"_([2-9])(?=$|_how$)", change[0])
    return int(number[1]) if number else 1, names.index(base) if base in names else len(names)


def _of(name: str) -> list[str]:
    """Patterns of the columns that tell of the material a column names."""
    return [
        tells.format(*(re.escape(g) for g in found.groups()))
        for of, tells in _OF
        if (found := re.fullmatch(of, name))
    ]
