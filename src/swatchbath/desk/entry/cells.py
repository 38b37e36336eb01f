"""The cells of a dyer's own table as those of a record: each thing in its own column."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ...conditions.columns import column
from ...errors import BadTable
from ...library.codes import is_code
from ..text.heading_words import LINES, NUMBER
from .book import Book, without_dittos
from .cell_words import ToldRow, are_lines, told_by
from .headings import OUT, Heading, with_unit

if TYPE_CHECKING:
    import pandas as pd

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
# What stands in a cell of which nothing is told.
_EMPTY = ("-", "–", "—", "--", "/", "n/a", "n.a.", "?", "...", "…")
_HEATS = ("temperature_C", "mordant_C", "vat_C")
_TIMES = ("minutes", "mordant_minutes")
# Bare numbers that no bath's degrees or minutes are: water boils at 100 °C; a bath of six minutes
# is none. Our own choice.
_TOO_HOT, _TOO_SHORT = 100, 6
# The parts of a lot are called a, b, c.
_PART = 2


@dataclass(frozen=True)
class Cells:
    """table : one row a swatch, under the columns' names, as `rows_of` takes it. told : each row
    with the treatments that lines of a diary tell of. texts : each row as it stands in the table,
    by heading. headings : with the units that were not said."""

    table: pd.DataFrame
    told: dict[int, ToldRow]
    texts: dict[int, dict[str, str]]
    headings: tuple[Heading, ...]


def cells_of(
    book: Book,
    headings: Sequence[Heading],
    refused: dict[int, BadTable],
    *,
    every: Mapping[str, str] | None = None,
    words: Mapping[str, str] | None = None,
    prefix: str = "",
) -> Cells:
    """The rows of a table under its headings.

    every : cells of every row that does not say otherwise. words : what words of the cells mean, in
    small letters. prefix : stands before every name.
    refused : takes the error of each row that cannot be read, which is then left out.
    """
    import pandas as pd

    rows = _with_points(without_dittos(book.rows, refused))
    headings = _settled(headings, [cells for _, cells in rows])
    read: list[tuple[int, ToldRow]] = []
    texts = {}
    for number, cells in rows:
        texts[number] = {
            f"{i} {h.given}": cell
            for i, (h, cell) in enumerate(zip(headings, cells, strict=True))
            if cell and h.column != OUT
        }
        try:
            read.append(
                (number, told_by(number, _pairs(headings, cells, words or {}), every or {}))
            )
        except BadTable as error:
            refused[number] = error
    read, headings = _named(read, headings, prefix)
    names = list(dict.fromkeys(n for _, told in read for n in told.cells))
    names += [n for n in _names(headings) if n not in names]
    table = pd.DataFrame(
        [[told.cells.get(n, "") for n in names] for _, told in read], columns=names, dtype=object
    )
    table.index = pd.Index([number for number, _ in read], name="row", dtype=int)
    return Cells(table, dict(read), texts, tuple(headings))


def _names(headings: Iterable[Heading]) -> list[str]:
    """The columns that headings mean, though no cell is filled; of a material its word too."""
    out = []
    for h in headings:
        if h.column not in (OUT, LINES, NUMBER):
            out.append(h.column)
            if h.word:
                out.append(h.column.removesuffix("_owf").replace("dye", "dyestuff"))
    return out


def _pairs(
    headings: Sequence[Heading], cells: Sequence[str], words: Mapping[str, str]
) -> list[tuple[Heading, str]]:
    out = []
    form = any(h.column == "fibre_form" for h in headings)
    for h, cell in zip(headings, cells, strict=True):
        if h.column == OUT or not cell:
            continue
        if h.known and column(h.column) is not None:
            if cell.casefold() in _EMPTY and not h.word:
                continue
            meant = words.get(cell.casefold())
            if meant and h.column == "fibre" and not form:
                # What she calls it stays, as what it is like.
                out.append((Heading(h.given, "fibre_form"), cell))
            cell = meant or with_unit(cell, h)
        out.append((h, cell))
    return out


def _with_points(rows: list[tuple[int, list[str]]]) -> list[tuple[int, list[str]]]:
    """Rows in which 1,500 is 1.500, where every other number of the table has a decimal comma."""
    cells = [cell for _, row in rows for cell in row]
    commas = any(re.fullmatch(r"\d+,(?:\d{1,2}|\d{4,})\b.{0,6}", cell) for cell in cells)
    points = any(re.fullmatch(r"\d+\.\d+\b.{0,6}", cell) for cell in cells)
    if not commas or points:
        return rows
    mend = re.compile(r"([+-]?\d{1,3}),(\d{3})(?!\d)(?=\D{0,6}$)")
    return [(number, [mend.sub(r"\1.\2", cell) for cell in row]) for number, row in rows]


def _settled(headings: Sequence[Heading], rows: Sequence[Sequence[str]]) -> list[Heading]:
    """The headings with what only their cells tell: units nobody said, lines of a diary, codes
    that are her own."""
    out: list[Heading] = []
    for i, h in enumerate(headings):
        cells = [row[i] for row in rows if row[i]]
        if h.column == OUT:
            pass
        elif are_lines(cells) and (not h.known or h.column == LINES):
            h = replace(h, column=LINES, known=True)
        elif h.column == LINES:
            h = Heading(h.given, h.given.strip(), known=False)
        elif h.column == "part" and any(len(c) > _PART for c in cells):
            # Flowers, leaves: the part of a plant, and not of a lot.
            h = Heading(h.given, f"own {h.given.strip()}", known=False)
        elif h.column == "swatch" and not (cells and all(is_code(c) for c in cells)):
            h = h if h.given.strip() == "swatch" else replace(h, column=NUMBER)
        elif h.known and not h.unit:
            h = _with_unit_unsaid(h, cells)
        if not h.given and not h.known:
            # No heading: words at the right are remarks.
            free = not any(o.column == "note" for o in (*headings, *out))
            h = replace(h, column="note", known=True) if free else replace(h, column=f"beside {i}")
            h = h if cells else Heading("", OUT, known=False)
        out.append(h)
    return out


def _with_unit_unsaid(heading: Heading, cells: Sequence[str]) -> Heading:
    bare = [float(c.replace(",", ".")) for c in cells if _NUMBER.fullmatch(c)]
    if bare and heading.column in _HEATS and min(bare) > _TOO_HOT:
        return replace(heading, unit="F", why=f"all are above {_TOO_HOT}")
    if bare and heading.column in _TIMES and max(bare) <= _TOO_SHORT:
        return replace(heading, unit="h", why=f"none is above {_TOO_SHORT}")
    return heading


def _named(
    read: list[tuple[int, ToldRow]], headings: list[Heading], prefix: str
) -> tuple[list[tuple[int, ToldRow]], list[Heading]]:
    """The rows with their number and name as the swatch's name. A column in which many share a
    word is no name, and is kept beside."""
    named = [h for h in headings if h.known and h.column in ("name", NUMBER)]
    if not named:
        return read, headings
    whole = [
        " ".join(told.cells[c] for c in (NUMBER, "name") if told.cells.get(c)) for _, told in read
    ]
    counts = Counter(name for name in whole if name)
    twice = sum(n - 1 for n in counts.values())
    # A slip is a row or two; where more than every fifth is there twice, it is no name.
    if sum(counts.values()) and twice > max(2, sum(counts.values()) / 5):
        beside = {h.column: h.given.strip() for h in named}
        headings = [
            Heading(h.given, beside[h.column], known=False, why="many rows share it")
            if h in named
            else h
            for h in headings
        ]
        return [
            (number, replace(told, cells={beside.get(n, n): v for n, v in told.cells.items()}))
            for number, told in read
        ], headings
    out = []
    for (number, told), name in zip(read, whole, strict=True):
        cells = {n: v for n, v in told.cells.items() if n not in ("name", NUMBER)}
        out.append((number, replace(told, cells=cells | ({"name": prefix + name} if name else {}))))
    return out, headings
