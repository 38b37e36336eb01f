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
from .columns import COLUMNS, GROUPS, REQUIRED, Column, Scale, column
from .vocabulary import FIBRES, meaning, resembles

__all__ = [
    "COLUMNS",
    "GROUPS",
    "REQUIRED",
    "Checked",
    "Column",
    "Scale",
    "as_table",
    "check_conditions",
    "column",
]

_NUMBER = re.compile(r"^([+-]?)(\d+(?:[.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$", re.IGNORECASE)
_THOUSANDS = re.compile(r"^[+-]?[1-9]\d{0,2},\d{3}$")
# A number is asked about when it lies further from the middle of its column than both of these, in
# units of its scale and in standard deviations of the column; among at least so many. Our own
# choice: 6 minutes among 60 is, any ordinary recipe is not.
_FAR, _FAR_SDS, _ENOUGH_TO_TELL = 0.6, 6.0, 8
_EMPTY = {"", "nan", "na", "n/a", "<na>", "null"}
_NAN = float("nan")


@dataclass(frozen=True)
class Checked:
    """A table that can be used.

    table : numbers as float (NaN unknown, `none` already 0 for amounts), words as text or None.
    unknown_columns : kept in the table, not used. unusual : one sentence for each thing worth
    asking about once. sentences : both, ready to say.
    """

    table: pd.DataFrame
    unknown_columns: tuple[str, ...]
    unusual: tuple[str, ...]

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
    table: pd.DataFrame, *, first_row: int = 2, required: Sequence[str] = REQUIRED
) -> Checked:
    """Read a table of conditions, one row a swatch; refuse what cannot be, with row and column.

    table : text cells from a CSV or typed cells; decimal commas are accepted. An index called
    `row` holds the numbers a spreadsheet shows beside its rows, blank lines counted; else
    first_row : the number beside the first row (2, below the heading). required : the columns
    that must be filled.
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
    for name, label in zip(names, table.columns, strict=True):
        cells, about = list(table[label]), column(name)
        if about is None:
            out[name] = pd.Series(cells, dtype=object, index=table.index)
        elif about.kind == "number":
            read = [_number(v, about, n, unusual) for v, n in zip(cells, numbers, strict=True)]
            out[name] = pd.Series(read, dtype=float, index=table.index)
        else:
            must = name in required
            words = [_text(v, about, n, must) for v, n in zip(cells, numbers, strict=True)]
            _look_at_words(words, about, numbers, unusual)
            out[name] = pd.Series(words, dtype=object, index=table.index)
    typed = pd.DataFrame(out, index=table.index, columns=names)
    _look_across(typed, numbers, unusual)
    _look_along(typed, numbers, unusual)
    unknown = tuple(n for n in names if column(n) is None)
    return Checked(typed, unknown, tuple(unusual))


def _not_used(name: str) -> str:
    wanted = {c.name.casefold(): c.name for c in COLUMNS}
    plain = name.strip().replace(" ", "_").casefold()
    hint = f" Did you mean {wanted[plain]}?" if plain in wanted else ""
    return f"The column '{name}' is kept but not used for colours.{hint}"


def _is_empty(value: Any) -> bool:
    if value is None or value is pd.NA or value is pd.NaT:
        return True
    if isinstance(value, float | np.floating):
        return math.isnan(float(value))
    return isinstance(value, str) and value.strip().casefold() in _EMPTY


def _bad(about: Column, row: Any, what: str, remedy: str) -> BadTable:
    sentence = f"Row {row}, column {about.name}: {what} {remedy}"
    return BadTable(sentence, row=row, column=about.name)


def _number(value: Any, about: Column, row: Any, unusual: list[str]) -> float:
    assert about.recorded is not None
    if _is_empty(value):
        return _NAN
    what = {"pH": "the pH that was read"}.get(about.name, f"a number ({about.allowed})")
    remedy = f"Type {what}, or leave the cell empty."
    if isinstance(value, str):
        number = _read(value, about, row, remedy)
        if number is None:
            return about.none_is if about.none_is is not None else _NAN
    elif isinstance(value, bool | np.bool_) or not isinstance(value, int | float | np.number):
        raise _bad(about, row, f"'{value}' is not a number.", remedy)
    else:
        number = float(value)
    low, high = about.recorded
    said = value.strip() if isinstance(value, str) else f"{number:g}"
    if not low <= number <= high:
        raise _bad(about, row, f"{said} is outside {about.allowed}.", remedy)
    if about.above and number == low:
        raise _bad(about, row, f"{said} is not above {low:g}.", remedy)
    if about.whole and number != int(number):
        raise _bad(about, row, f"{said} is not a whole number.", remedy)
    if about.usual and not about.usual[0] <= number <= about.usual[1]:
        if not (number == 0 and about.none_is == 0):
            unit = f" {about.unit}" if about.unit else ""
            unusual.append(
                f"Row {row}, column {about.name}: {said}{unit} is unusual "
                f"({about.usual[0]:g} to {about.usual[1]:g} is usual). Is it right?"
            )
    return number


def _read(text: str, about: Column, row: Any, remedy: str) -> float | None:
    """The number a text cell holds; None for the word none."""
    plain = text.strip()
    if plain.casefold() == "none":
        if about.none_is is None:
            raise _bad(about, row, "'none' says there was no such thing, which cannot be.", remedy)
        return None
    for unit in (about.unit, about.unit.removesuffix(" owf"), "°C", "C"):
        if unit and unit in (about.unit, about.unit.removesuffix(" owf"), about.unit.strip("°")):
            plain = plain.removesuffix(unit).strip()
    if _THOUSANDS.match(plain):
        whole, part = plain.split(",")
        raise _bad(
            about,
            row,
            f"'{text.strip()}' can be read in two ways.",
            f"Type {whole}{part} or {whole}.{part}.",
        )
    if not _NUMBER.match(plain):
        raise _bad(about, row, f"'{text.strip()}' is not a number.", remedy)
    return float(plain.replace(",", "."))


def _text(value: Any, about: Column, row: Any, must: bool) -> str | None:
    if _is_empty(value):
        if must:
            raise _bad(about, row, "the cell is empty.", f"Type the {about.name}.")
        return None
    if isinstance(value, float | np.floating) and float(value).is_integer():
        value = int(value)  # a code such as 12 that a table program turned into 12.0
    word = " ".join(str(value).split())
    if about.name == "fibre" and meaning("fibre", word) not in FIBRES:
        known = ", ".join(FIBRES)
        raise _bad(about, row, f"'{word}' is not a fibre known here.", f"Use one of: {known}.")
    if word.casefold() in ("unknown", "?") and about.name not in ("dyestuff", *GROUPS):
        return None
    return word


def _look_at_words(
    words: list[str | None], about: Column, numbers: Sequence[Any], unusual: list[str]
) -> None:
    """Ask once about a word that looks like a slip of a known one."""
    if about.kind != "category" or not about.words or about.name == "fibre":
        return
    base = re.sub(r"_[2-9]$", "", about.name)
    asked: set[str] = set()
    for i, word in enumerate(words):
        if word is None or word in asked:
            continue
        asked.add(word)
        like = resembles(base, word)
        if like:
            unusual.append(
                f"Row {numbers[i]}, column {about.name}: '{word}' is taken as its own kind. "
                f"Did you mean {like}?"
            )


def _look_across(table: pd.DataFrame, numbers: Sequence[Any], unusual: list[str]) -> None:
    """Ask about cells that contradict each other, and refuse no dye at all."""
    pairs = {
        "dye_owf": "dyestuff",
        "mordant_owf": "mordant",
        "modifier_owf": "modifier",
        "tannin_owf": "tannin",
        "assist_owf": "assist",
    }
    for amount_name in table.columns:
        base = re.sub(r"_[2-9]$", "", str(amount_name))
        kind_name = str(amount_name).replace(base, pairs.get(base, base), 1)
        if base not in pairs or kind_name not in table.columns:
            continue
        for i, (kind, amount) in enumerate(zip(table[kind_name], table[amount_name], strict=True)):
            row = numbers[i]
            if kind is not None and meaning(base, kind) == "none" and amount > 0:
                unusual.append(
                    f"Row {row}: {kind_name} is none, yet {amount_name} is {amount:g}. "
                    "The amount is not used."
                )
            elif base == "dye_owf" and amount == 0 and kind is not None and kind != "none":
                about = column(str(amount_name))
                assert about is not None
                raise _bad(
                    about,
                    row,
                    f"0 % of {kind} dyes nothing.",
                    "Type the amount, or leave the cell empty if it is not known.",
                )


def _look_along(table: pd.DataFrame, numbers: Sequence[Any], unusual: list[str]) -> None:
    """Ask about a number far from all others of its column, as a slip of the decimal point is."""
    for name in table.columns:
        about = column(str(name))
        if about is None or about.scale is None:
            continue
        values = np.asarray(table[name], dtype=float)
        known = np.flatnonzero(~np.isnan(values) & ~((values == 0) & (about.none_is == 0)))
        if len(known) < _ENOUGH_TO_TELL:
            continue
        units = about.scale.to_unit(values[known])
        far = np.abs(units - np.median(units))
        usual = 1.4826 * np.median(far)  # a normal spread's standard deviation
        for i in known[(far > _FAR) & (far > _FAR_SDS * usual)]:
            unusual.append(
                f"Row {numbers[i]}, column {name}: {values[i]:g} lies far from the others in its "
                f"column (mostly about {np.median(values[known]):g}). Is it right?"
            )
