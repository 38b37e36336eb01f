"""A dyer's own table as it lies there: titles, one or two rows of headings, rows, and remarks."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ...errors import BadTable
from ...library import read_rows
from ..text.heading_words import ITSELF, UNITS, plain_heading
from .headings import match_headings

# How many rows are looked at for the headings, and how long a heading may be. Our own choice.
_TO_LOOK_AT, _LONGEST = 30, 60
# Marks and words that stand for the cell above; common practice, no source.
_DITTO = re.compile(
    r"[-–—\s]*(?:[\"“”„‟″״〃]|''?|,,|´´|``)[-–—\s]*|do\.?|ditto|dto\.?|same|idem|id\.|"
    r"(?:same )?as above|see above",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"[+-]?[\d.,]+\s*%?")


@dataclass(frozen=True)
class Book:
    """called : the file's name. headings, groups : a text a column, and what stands over it (""
    where nothing does). rows : number as the spreadsheet shows it, and its cells. alone : lines
    that stand alone, titles and remarks, by their row. refused : rows that are no row of it."""

    called: str
    headings: tuple[str, ...]
    groups: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    alone: tuple[tuple[int, str], ...]
    refused: dict[int, BadTable]


def read_book(path: str | Path) -> Book:
    """A CSV, XLSX or ODS as a dyer keeps it. Raises NotFound, BadTable where it holds no row."""
    called = Path(path).name
    lines = [[cell.strip() for cell in row] for row in read_rows(path)]
    top, above, below = _headings_at(lines)
    if top is None:
        raise BadTable(f"The table {called} is empty.")
    width = _width(lines[top:])
    names = _padded(lines[top], width)
    groups = _groups(_padded(lines[above], width), names) if above is not None else [""] * width
    if below is not None:
        units = _padded(lines[below], width)
        names = [f"{n} ({u.strip('()[] ')})" if u else n for n, u in zip(names, units, strict=True)]
    first = top + 1 if below is None else below + 1
    heads = [lines[i] for i in (top, above, below) if i is not None]
    alone = [(i + 1, line) for i, row in enumerate(lines[:top]) if i != above
             and (line := "; ".join(dict.fromkeys(c for c in row if c)))]  # fmt: skip
    rows: list[tuple[int, tuple[str, ...]]] = []
    refused: dict[int, BadTable] = {}
    for number, row in enumerate(lines[first:], start=first + 1):
        filled = [cell for cell in row if cell]
        if not filled or any(_padded(row, width) == _padded(head, width) for head in heads):
            continue
        if _is_alone(row, width):
            alone.append((number, filled[0]))
        elif _count(row) > width or len(row) < len(lines[top]) == width:
            count = "1 cell" if len(row) == 1 else f"{len(row)} cells"
            refused[number] = BadTable(
                f"Row {number} of {called} has {count} where the heading has {width}. Put a cell "
                "that holds a comma into quotes, and close every quotation mark.",
                row=number,
            )
        else:
            rows.append((number, tuple(_padded(row, width))))
    if not rows:
        if refused:
            raise next(iter(refused.values()))
        raise BadTable(f"The table {called} has a heading and no rows.")
    return Book(called, tuple(names), tuple(groups), tuple(rows), tuple(alone), refused)


def without_dittos(
    rows: Sequence[tuple[int, tuple[str, ...]]], refused: dict[int, BadTable]
) -> list[tuple[int, list[str]]]:
    """The rows with every ditto mark as the cell it stands for; one with nothing above it is
    refused."""
    out: list[tuple[int, list[str]]] = []
    above: list[str] = []
    for number, row in rows:
        cells = list(row)
        for i, cell in enumerate(cells):
            if cell and _DITTO.fullmatch(cell):
                if not above:
                    refused[number] = BadTable(
                        f"Row {number}: '{cell}' stands for the cell above, and no row is above. "
                        "Write out what is meant.",
                        row=number,
                    )
                    break
                cells[i] = above[i]
        else:
            out.append((number, cells))
            above = cells
    return out


def _headings_at(lines: Sequence[Sequence[str]]) -> tuple[int | None, int | None, int | None]:
    """The row of headings, the row of groups over it and the row of units under it."""
    best: tuple[float, int | None, int | None, int | None] = (0.0, None, None, None)
    filled = [i for i, row in enumerate(lines) if any(row)]
    for i in filled[:_TO_LOOK_AT]:
        below = i + 1 if i + 1 < len(lines) and _is_units(lines[i + 1]) else None
        for above in (None, i - 1):
            if above is not None and not (i and _is_group_row(lines[i - 1], lines[i])):
                continue
            # The row of headings tells more than any other; of two alike it is the first.
            known = _known(lines[i], () if above is None else lines[above])
            if known > best[0]:
                best = (known, i, above, below)
    if best[1] is None:
        return (filled[0] if filled else None), None, None
    return best[1], best[2], best[3]


def _known(row: Sequence[str], above: Sequence[str]) -> float:
    width = max(len(row), len(above))
    names = _padded(row, width)
    if any(len(name) > _LONGEST for name in names):
        return 0.0
    groups = _groups(_padded(above, width), names) if above else [""] * width
    found = match_headings(names, groups)
    # A cell of a row may be called as a material; a heading of one tells its unit.
    return sum(
        (0.5 if h.word and not h.unit else 1.0)
        for h, name in zip(found, names, strict=True)
        if h.known and (name or not above)
    )


def _is_group_row(above: Sequence[str], row: Sequence[str]) -> bool:
    """Whether a row stands over the headings: fewer and short words, and names under them."""
    groups, names = [c for c in above if c], [c for c in row if c]
    if not 2 <= len(groups) < len(names) or any(_NUMBER.fullmatch(g) for g in groups):
        return False
    plain = [plain_heading(n) for n in names]
    found = match_headings(names)
    told = [
        p in ITSELF or p in UNITS or n.strip("()") in UNITS or (h.known and not h.word)
        for n, p, h in zip(names, plain, found, strict=True)
    ]
    return sum(told) >= 0.7 * len(told)


def _groups(above: Sequence[str], names: Sequence[str]) -> list[str]:
    """What stands over each heading: a word holds for the empty cells to its right."""
    out, last = [], ""
    for group, name in zip(above, names, strict=True):
        last = group or last
        out.append("" if group == name else last)
    return out


def _is_units(row: Sequence[str]) -> bool:
    cells = [c.strip("()[] ").casefold() for c in row if c]
    return bool(cells) and all(c in UNITS for c in cells)


def _is_alone(row: Sequence[str], width: int) -> bool:
    """Whether a row is one line of words: a remark, a page's title."""
    filled = [cell for cell in row if cell]
    return width > 2 and len(filled) == 1 and not re.search(r"[,;\t]\S|\n", filled[0])


def _count(row: Sequence[str]) -> int:
    """How many cells a row has, without empty ones at its end."""
    return max((i + 1 for i, cell in enumerate(row) if cell), default=0)


def _width(lines: Sequence[Sequence[str]]) -> int:
    """How many columns the table has: those of its headings, and those without one that most of
    its rows have."""
    head = _count(lines[0])
    longer = sum(len(row) > head for row in lines[1:] if any(row))
    full = sum(1 for row in lines[1:] if any(row))
    wide = max((_count(row) for row in lines[1:]), default=head)
    return max(head, wide) if full and longer == full else head


def _padded(row: Sequence[str], width: int) -> list[str]:
    return [*row[:width], *[""] * (width - len(row))]
