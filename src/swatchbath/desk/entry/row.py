"""What each row of a record tells, checked before anything is written: nothing may get lost."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import pandas as pd

from ...bath.step import Step
from ...bath.steps import FIBRE_COLUMNS, HOW, conditions_of, steps_of
from ...conditions.columns import GROUPS, REQUIRED, column
from ...conditions.table import check_conditions
from ...conditions.units import parse_with_unit
from ...conditions.vocabulary import meaning
from ...errors import BadTable, BadValue
from ...library import KEPT, STATES, check_name
from ..text.wording import records

# What says that a dyestuff was dyed in a vat.
_VAT_SIGNS = ("vat", "vat_dips", "vat_dip_minutes", "vat_days")
# Columns of a record's table that are no conditions.
_OURS = ("name", "state", "part", "days")
# What a bath's own column is called where the only bath was a vat.
_IN_A_VAT = {"temperature_C": "vat_C", "pH": "vat_pH"}


@dataclass(frozen=True)
class Row:
    """One row: the swatch it tells of, its bath, what else is kept, and the photo that shows it.

    number : as a spreadsheet shows it; None for what was typed. code : a swatch on record, as it
    was typed. bath : known condition columns. extra : columns that are kept and not used. mark :
    what the swatch is called in the table of marks. days : from dyeing to the reading. typed :
    cells in other units than the stored ones, as they were typed. steps : where they tell more
    than the bath's columns.
    """

    number: int | None
    bath: dict[str, Any]
    extra: dict[str, Any] = field(default_factory=dict)
    name: str | None = None
    code: str | None = None
    lot: str | None = None
    session: str | None = None
    photo: str | None = None
    state: str = ""
    mark: str | None = None
    part: str | None = None
    days: float | None = None
    typed: dict[str, str] = field(default_factory=dict)
    steps: tuple[Step, ...] | None = None

    @property
    def facts(self) -> dict[str, Any]:
        """All that must agree where two rows tell of one swatch."""
        groups = {"lot": self.lot, "part": self.part, "session": self.session}
        return self.bath | self.extra | groups


def bad(row: Row, name: str, what: str, remedy: str) -> BadTable | BadValue:
    """The error for one cell: with its row and column in a table, with its column where typed."""
    if row.number is None:
        return BadValue(f"Column {name}: {what} {remedy}")
    return BadTable(
        f"Row {row.number}, column {name}: {what} {remedy}", row=row.number, column=name
    )


def rows_of(
    table: pd.DataFrame, *, refused: dict[Any, BadTable] | None = None
) -> tuple[list[Row], tuple[str, ...]]:
    """The rows of a table as `read_table` gives it, and what to ask about.

    refused : a dict that takes the first error of each row by its number, which is then left out;
    else the first error is raised. A row whose cell `swatch` is filled tells of a swatch on
    record, and may leave out its bath.
    """
    known = (
        table["swatch"].str.strip() != ""
        if "swatch" in table
        else pd.Series(False, index=table.index)
    )
    rows: list[Row] = []
    sentences: list[str] = []
    for part, required in ((table[~known], REQUIRED), (table[known], ())):
        if part.empty:
            continue
        conditions = part.drop(columns=[c for c in (*_OURS, *KEPT) if c in part])
        checked = check_conditions(conditions, required=required, refused=refused)
        sentences += checked.sentences
        for number, cells, texts, typed in zip(
            part.index.tolist(), records(checked.table), records(part), checked.typed, strict=True
        ):
            if refused is not None and number in refused:
                continue
            try:
                rows.append(_row_in_table(number, cells, texts, typed))
            except BadTable as error:
                if refused is None:
                    raise
                refused[number] = error
    rows.sort(key=lambda r: r.number or 0)
    return rows, tuple(dict.fromkeys(sentences))


def _row_in_table(
    number: int, cells: Mapping[str, Any], texts: Mapping[str, Any], typed: dict[str, str]
) -> Row:
    text_of = {k: str(texts.get(k, "")).strip() for k in (*_OURS, "swatch", "photo")}
    kept = {k: str(texts[k]).strip() for k in KEPT if k in texts}
    row = row_of(
        dict(cells) | kept,
        number=number,
        name=text_of["name"] if "name" in texts else None,
        code=text_of["swatch"] or None,
        photo=text_of["photo"] or None,
        state=text_of["state"],
        part=text_of["part"] or None,
        typed=typed,
    )
    state = row.state
    if state and state not in STATES:
        raise bad(row, "state", f"'{state}' is not one of {', '.join(STATES)}.", "Use one.")
    if not text_of["days"]:
        return row
    reading = parse_with_unit(text_of["days"], "d")
    if reading is None or not 0 <= reading.value < 1e5:
        raise bad(row, "days", f"'{text_of['days']}' is no number of days.", "Type 14, or 2 weeks.")
    return replace(row, days=reading.value)


def row_of(
    cells: Mapping[str, Any],
    *,
    number: int | None = None,
    code: str | None = None,
    typed: Mapping[str, str] | None = None,
    **own: Any,
) -> Row:
    """One row of checked cells; own : its name, photo, state and part. Raises BadTable or BadValue
    for a cell that would get lost."""
    known = {k: v for k, v in cells.items() if v is not None and v == v}
    row = Row(
        number=number,
        bath={k: v for k, v in known.items() if column(k) and k not in GROUPS},
        extra={
            k: v for k, v in known.items() if not column(k) and k not in _OURS and str(v).strip()
        },
        code=code or known.get("swatch"),
        lot=known.get("lot"),
        session=known.get("session"),
        typed=dict(typed or {}),
        **own,
    )
    return replace(row, steps=_put_straight(row))


def _put_straight(row: Row) -> tuple[Step, ...]:
    """One word for how dyestuffs met, and no amounts of nothing; then all must come back. Returns
    the steps the row tells of."""
    bath = row.bath
    _in_a_vat(row)
    for name in [n for n in bath if re.fullmatch(r"dye_[2-9]_how", n)]:
        word = meaning("dye_2_how", str(bath[name]))
        if word not in HOW:
            raise bad(
                row,
                name,
                f"'{bath[name]}' is not {' or '.join(HOW)}.",
                "Use one, or leave it empty.",
            )
        bath[name] = word
    for name in list(bath):
        owner = _owner(name)
        if owner and "_owf" in name and _is_none(owner, bath.get(owner)):
            if bath[name] == 0:
                del bath[name]
            else:
                raise bad(
                    row,
                    name,
                    f"{cell_words(bath[name])} is given, but {owner} is none.",
                    f"Say what the {owner} was, or empty the cell.",
                )
    steps = tuple(steps_of(bath))
    back = conditions_of(steps, bath)
    lost = sorted((n for n in bath if back.get(n) != bath[n]), key=lambda n: n != _owner(n))
    for name in lost:
        owner = _owner(name) or name
        before = _before(owner)
        given = f"{cell_words(bath[name])} is given, but "
        if owner != name and owner not in bath:
            raise bad(
                row, name, f"{given}{owner} is empty.", f"Say what the {owner} was, or empty both."
            )
        if before and before not in bath:
            raise bad(
                row, name, f"{given}{before} is empty.", "Number them without a gap, or empty it."
            )
        raise bad(
            row, name, f"{given}it does not fit the other cells of the bath.", "Look at them again."
        )
    return steps


def _in_a_vat(row: Row) -> None:
    """Where the only bath was a vat, its heat and pH are the vat's; no amount, and no minutes but
    those of a dip."""
    bath = row.bath
    if _is_none("vat", bath.get("vat")):
        del bath["vat"]
    slots = [n.removeprefix("dyestuff") for n in bath if re.fullmatch(r"dyestuff(_[2-9])?", n)]
    vats = [s for s in slots if any(f"{n}{s}" in bath for n in _VAT_SIGNS)]
    for slot in vats:
        if f"dye_owf{slot}" in bath or f"dye_owf{slot}" in row.typed:
            raise bad(
                row,
                f"dye_owf{slot}",
                "an amount is given, but it was dipped in a vat, where an amount on the weight of "
                "fibre says nothing.",
                "Empty the cell, and tell of vat_dips and vat_dip_minutes.",
            )
    if vats != [""] or any(bath.get(f"dye{s}_how") == "over" for s in slots if s):
        return
    if "minutes" in bath:
        raise bad(
            row,
            "minutes",
            f"{cell_words(bath['minutes'])} is given, but it was dipped in a vat.",
            "Tell of vat_dips and vat_dip_minutes instead.",
        )
    for plain, own in _IN_A_VAT.items():
        if plain in bath and own not in bath:
            bath[own] = bath.pop(plain)
            if plain in row.typed:
                row.typed[own] = row.typed.pop(plain)


def _owner(name: str) -> str | None:
    """The column with the word that a cell belongs to: mordant for mordant_owf; itself a word."""
    how = re.fullmatch(r"dye_([2-9])_how", name)
    if how:
        return f"dyestuff_{how[1]}"
    found = re.fullmatch(
        r"(dyestuff|dye|tannin|mordant|assist|modifier|vat)"
        r"(?:_(?:owf|form|lot|pH|minutes|strip|C|dips|dip_minutes|days))?(_[2-9])?",
        name,
    )
    return found and {"dye": "dyestuff"}.get(found[1], found[1]) + (found[2] or "")


def _before(owner: str) -> str | None:
    numbered = re.fullmatch(r"(\w+)_([2-9])", owner)
    if not numbered:
        return None
    return numbered[1] if numbered[2] == "2" else f"{numbered[1]}_{int(numbered[2]) - 1}"


def _is_none(owner: str, word: Any) -> bool:
    return word is not None and meaning(owner, str(word)) == "none"


def cell_words(value: Any) -> str:
    """A cell's value in a sentence."""
    return f"{value:g}" if isinstance(value, float) else f"'{value}'"


def or_empty(value: Any) -> str:
    """A cell's value in a sentence, or that there is none."""
    return "empty" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def check_names(rows: Iterable[Row]) -> list[Row]:
    """The rows with names put straight; a cell `name` may be empty only for a swatch on record
    or where no photo must be told apart."""
    out = []
    for row in rows:
        if row.name == "":
            if not row.code and row.photo:
                raise bad(
                    row,
                    "name",
                    "the cell is empty.",
                    "Give every swatch a name, the same one in every row that shows it.",
                )
            row = replace(row, name=None)
        try:
            out.append(replace(row, name=check_name(row.name)))
        except BadValue as error:
            if row.number is None:
                raise
            raise BadTable(
                f"Row {row.number}, column name: {error}", row=row.number, column="name"
            ) from error
    return out


def fibre_of(row: Row) -> dict[str, Any]:
    """The columns of a row that describe the fibre."""
    return {k: v for k, v in row.bath.items() if k in FIBRE_COLUMNS}
