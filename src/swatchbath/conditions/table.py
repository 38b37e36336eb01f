"""Check a table of conditions against the columns: read cells, refuse what cannot be, ask once."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from ..errors import BadTable, BadValue
from .columns import COLUMNS, GROUPS, REQUIRED, Column, column
from .plausibility import bad_cell, look_across, look_along, look_at_words, of_mordant
from .units import TwoWays, TypedNumber, parse_with_unit
from .vocabulary import FIBRES, meaning

_EMPTY = {"", "nan", "na", "n/a", "<na>", "null"}
_NAN = float("nan")


@dataclass(frozen=True)
class Checked:
    """A table that can be used.

    table : numbers as float (NaN unknown, `none` already 0 for amounts), words as text or None.
    unknown_columns : kept in the table, not used. unusual : one sentence for each thing worth
    asking about once. typed : for each row, the cells that were typed in other units or with a
    comma, as they were typed. sentences : the first two, ready to say.
    """

    table: pd.DataFrame
    unknown_columns: tuple[str, ...]
    unusual: tuple[str, ...]
    typed: tuple[dict[str, str], ...] = ()

    @property
    def sentences(self) -> tuple[str, ...]:
        """What to tell the person whose table it is."""
        return tuple(_not_used(name) for name in self.unknown_columns) + self.unusual

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        rows = self.table.astype(object).where(self.table.notna(), None).to_dict("records")
        return {
            "rows": rows,
            "unknown_columns": list(self.unknown_columns),
            "unusual": list(self.unusual),
        }


def in_a_vat(table: pd.DataFrame) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """(n,) whether a row of a checked table was dipped in a vat, wholly or over another dye.

    Vats are recorded and not foreseen: dips and a vat's state say what no amount on the weight
    of fibre can.
    """
    found = np.zeros(len(table), dtype=bool)
    for name in table.columns:
        if re.fullmatch(r"vat(_dips|_dip_minutes|_days)?(_[2-9])?", str(name)):
            cells = table[name]
            none = np.array([isinstance(v, str) and meaning("vat", v) == "none" for v in cells])
            found |= cells.notna().to_numpy() & ~none
    return found


def as_table(
    conditions: pd.DataFrame | Mapping[str, Any] | Sequence[Mapping[str, Any]],
) -> pd.DataFrame:
    """A table from a table, one bath as a dict, or a list of such dicts."""
    if isinstance(conditions, pd.DataFrame):
        return conditions
    if isinstance(conditions, Mapping):
        return pd.DataFrame([dict(conditions)])
    if isinstance(conditions, Sequence) and all(isinstance(c, Mapping) for c in conditions):
        return pd.DataFrame([dict(c) for c in conditions])
    raise BadValue(
        "Conditions are a table, one bath as a dict, or a list of such dicts; "
        f"{type(conditions).__name__} is none of these."
    )


def check_conditions(
    table: pd.DataFrame,
    *,
    first_row: int = 2,
    required: Sequence[str] = REQUIRED,
    refused: dict[Any, BadTable] | None = None,
) -> Checked:
    """Read a table of conditions, one row a swatch; refuse what cannot be, with row and column.

    table : text cells from a CSV or typed cells; decimal commas are accepted. An index called
    `row` holds the numbers a spreadsheet shows beside its rows, blank lines counted; else
    first_row : the number beside the first row (2, below the heading). required : the columns
    that must be filled. refused : a dict that takes the first error of each row by its number,
    whose cells then count as empty; else the first error is raised.
    Returns Checked. Raises BadTable, which carries `.row` and `.column`.
    """
    counted = range(first_row, first_row + len(table))
    numbers = table.index.tolist() if table.index.name == "row" else list(counted)
    names = [str(c) for c in table.columns]
    twice = sorted({n for n in names if names.count(n) > 1})
    if twice:
        raise BadTable(f"The column {twice[0]} is there twice; keep one.", column=twice[0])
    for name in required:
        if name not in names:
            raise BadTable(
                f"The table has no column {name}; add it, with a {name} in every row.", column=name
            )
    out: dict[str, Any] = {}
    unusual: list[str] = []
    as_typed: list[dict[str, str]] = [{} for _ in numbers]
    grams = [_NAN] * len(numbers)
    # Amounts in grams are counted on the fibre's weight; where more lay in the pot, on all of it.
    weights = ("fibre_g", "pot_g")
    for name in sorted(names, key=lambda n: weights.index(n) if n in weights else len(weights)):
        cells, about = list(table[name]), column(name)
        if about is None:
            out[name] = pd.Series(cells, dtype=object, index=table.index)
        elif about.kind == "number":
            mordants = table["mordant"] if name == "mordant_owf" and "mordant" in names else cells
            read = [
                _try(refused, n, _NAN, _number, v, of_mordant(about, m), n, unusual, g, kept)
                for v, n, g, kept, m in zip(cells, numbers, grams, as_typed, mordants, strict=True)
            ]
            if name in weights:
                grams = [g if math.isnan(w) else w for w, g in zip(read, grams, strict=True)]
            out[name] = pd.Series(read, dtype=float, index=table.index)
        else:
            must = name in required
            words = [
                _try(refused, n, None, _text, v, about, n, must)
                for v, n in zip(cells, numbers, strict=True)
            ]
            look_at_words(words, about, numbers, unusual)
            out[name] = pd.Series(words, dtype=object, index=table.index)
    typed = pd.DataFrame(out, index=table.index, columns=names)
    look_across(typed, numbers, unusual, refused)
    look_along(typed, numbers, unusual)
    unknown = tuple(n for n in names if column(n) is None)
    return Checked(typed, unknown, tuple(unusual), tuple(as_typed))


def _try(refused: dict[Any, BadTable] | None, row: Any, instead: Any, do: Any, *cell: Any) -> Any:
    """What `do` makes of a cell; its error is kept by row where errors are collected."""
    try:
        return do(*cell)
    except BadTable as error:
        if refused is None:
            raise
        refused.setdefault(row, error)
        return instead


def _not_used(name: str) -> str:
    known = {c.name.casefold(): c.name for c in COLUMNS}
    plain = name.strip().replace(" ", "_").casefold()
    hint = f" Did you mean {known[plain]}?" if plain in known else ""
    return f"The column '{name}' is kept but not used for colours.{hint}"


def _is_empty(value: Any) -> bool:
    if value is None or value is pd.NA or value is pd.NaT:
        return True
    if isinstance(value, float | np.floating):
        return math.isnan(float(value))
    return isinstance(value, str) and value.strip().casefold() in _EMPTY


def _number(
    value: Any,
    about: Column,
    row: Any,
    unusual: list[str],
    fibre_g: float = _NAN,
    kept: dict[str, str] | None = None,
) -> float:
    assert about.recorded is not None
    if _is_empty(value):
        return _NAN
    what = {"pH": "the pH that was read"}.get(about.name, f"a number ({about.allowed})")
    remedy = f"Type {what}, or leave the cell empty."
    if isinstance(value, str):
        reading = _read(value, about, row, remedy, fibre_g)
        if reading is None:
            return about.none_is if about.none_is is not None else _NAN
        if reading.typed and kept is not None:
            kept[about.name] = reading.typed
        if reading.needs:
            unusual.append(
                f"Row {row}, column {about.name}: {reading.typed} is kept as typed, and cannot be "
                f"told in {about.unit} without {reading.needs} (fibre_g)."
            )
            return _NAN
        number = reading.value
    elif isinstance(value, bool | np.bool_) or not isinstance(value, int | float | np.number):
        raise bad_cell(about, row, f"'{value}' is not a number.", remedy)
    else:
        number = float(value)
    low, high = about.recorded
    shown = value.strip() if isinstance(value, str) else f"{number:g}"
    if not low <= number <= high:
        raise bad_cell(about, row, f"{shown} is outside {about.allowed}.", remedy)
    if about.above and number == low:
        raise bad_cell(about, row, f"{shown} is not above {low:g}.", remedy)
    if about.whole and number != int(number):
        raise bad_cell(about, row, f"{shown} is not a whole number.", remedy)
    if about.usual and not about.usual[0] <= number <= about.usual[1]:
        if not (number == 0 and about.none_is == 0):
            unit = f" {about.unit}" if about.unit else ""
            unusual.append(
                f"Row {row}, column {about.name}: {shown}{unit} is unusual "
                f"({about.usual[0]:g} to {about.usual[1]:g} is usual). Is it right?"
            )
    return number


def _read(text: str, about: Column, row: Any, remedy: str, fibre_g: float) -> TypedNumber | None:
    """The number a text cell holds, in the column's unit; None for the word none."""
    plain = text.strip()
    if plain.casefold() == "none":
        if about.none_is is None:
            raise bad_cell(
                about, row, "'none' says there was no such thing, which cannot be.", remedy
            )
        return None
    try:
        reading = parse_with_unit(plain, about.unit, fibre_g)
    except TwoWays as error:
        raise bad_cell(
            about, row, f"'{plain}' can be read in two ways.", f"Type {error}."
        ) from error
    if reading is None:
        raise bad_cell(about, row, f"'{plain}' is not a number.", remedy)
    return reading


def _text(value: Any, about: Column, row: Any, must: bool) -> str | None:
    if _is_empty(value):
        if must:
            raise bad_cell(about, row, "the cell is empty.", f"Type the {about.name}.")
        return None
    if isinstance(value, float | np.floating) and float(value).is_integer():
        value = int(value)  # a code such as 12 that a table program turned into 12.0
    word = " ".join(str(value).split())
    if about.name == "fibre" and meaning("fibre", word) not in FIBRES:
        known = ", ".join(FIBRES)
        raise bad_cell(about, row, f"'{word}' is not a fibre known here.", f"Use one of: {known}.")
    if word.casefold() in ("unknown", "?") and about.name not in ("dyestuff", *GROUPS):
        return None
    return word
