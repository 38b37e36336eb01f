"""A table of reference values as a file gives it: CSV, or CGATS.17 text (ISO 28178)."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, replace
from pathlib import Path

from ...errors import BadTable, NotFound

_LIGHT, _OBSERVER = ("light", "illuminant"), ("observer",)
_BEGINS = re.compile(r"^\s*BEGIN_DATA(_FORMAT)?\b", re.MULTILINE)
# How far into a file its data format is looked for, bytes; a head is a page. Our own choice.
_HEAD = 100_000


@dataclass(frozen=True)
class ReferenceTable:
    """Cells of a file: rows of (line number, cells); what it says of light and observer, or ""."""

    file: str
    columns: list[str]
    rows: list[tuple[int, list[str]]]
    light: str = ""
    observer: str = ""


def is_cgats(file: Path) -> bool:
    """Whether a file is a CGATS.17 text, by the line its data begin with."""
    try:
        with open(file, "rb") as content:
            return _BEGINS.search(content.read(_HEAD).decode("latin-1")) is not None
    except OSError:
        return False  # reading it says why


def read_reference_table(file: Path, *, what: str = "the chart's values") -> ReferenceTable:
    """The table of a CSV or a CGATS.17 text, told apart by its BEGIN_DATA lines.

    what : as what it holds is called. Raises NotFound for a file that cannot be read; BadTable,
    with line and field, for a bad one.
    """
    text = _text_of(file, what)
    return _cgats(text, file.name) if _BEGINS.search(text) else _csv(text, file.name)


def _text_of(file: Path, what: str) -> str:
    try:
        data = file.read_bytes()
    except OSError as error:
        raise NotFound(
            f"{what[0].upper()}{what[1:]} {file} cannot be read: {error.strerror}."
        ) from error
    if b"\x00" in data:
        raise BadTable(f"{file.name} is not text; save {what} as CSV and try again.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    if not text.strip():
        raise BadTable(f"{file.name} is empty; it should hold {what}.")
    return text


def folded(name: str) -> str:
    """A column's name without case, spaces, stars, dashes and underscores."""
    return re.sub(r"[\s*_.\-]", "", name).lower()


def _csv(text: str, file: str) -> ReferenceTable:
    lines = text.splitlines()
    starts = [i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")]
    if not starts:
        raise BadTable(f"{file} holds only comments; it should hold the chart's 24 patches.")
    top = starts[0]
    separator = max(",;\t", key=lines[top].count)
    reader = csv.reader(io.StringIO("\n".join(lines[top:])), delimiter=separator)
    read: list[tuple[int, list[str]]] = []
    line = top + 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                read.append((line, row))
            line = top + reader.line_num + 1
    except csv.Error as error:
        raise BadTable(
            f"Line {line} of {file} cannot be read ({error}); mend it and try again.", row=line
        ) from error
    columns = [c.strip() for c in read[0][1]]
    rows = [(n, [c.strip() for c in row]) for n, row in read[1:] if not row[0].startswith("#")]
    if separator != ",":
        # A sheet that parts cells by semicolon or tab may write 12,5 for 12.5.
        rows = [(n, [c.replace(",", ".") for c in row]) for n, row in rows]
    table = ReferenceTable(file, columns, rows)
    return replace(
        table, light=_one_of_column(table, _LIGHT), observer=_one_of_column(table, _OBSERVER)
    )


def column_of(table: ReferenceTable, names: tuple[str, ...]) -> int | None:
    """Place of the first of these names, folded, that the table has; None where it has none."""
    have = [folded(c) for c in table.columns]
    return next((have.index(n) for n in names if n in have), None)


def _one_of_column(table: ReferenceTable, names: tuple[str, ...]) -> str:
    """What a column says in every row; empty where there is no such column or no entry."""
    at = column_of(table, names)
    if at is None:
        return ""
    stated = {row[at].upper() for _, row in table.rows if at < len(row) and row[at]}
    if len(stated) > 1:
        raise BadTable(
            f"The column '{table.columns[at]}' of {table.file} says "
            f"{' and '.join(sorted(stated))}; all patches must be read the same way.",
            column=table.columns[at],
        )
    return re.sub(r"\s*(DEG.*|°)$", "", stated.pop()) if stated else ""


def _tokens(line: str) -> list[str]:
    return [t.strip('"') for t in re.findall(r'"[^"]*"|\S+', line)]


def _cgats(text: str, file: str) -> ReferenceTable:
    """The first data table of a CGATS.17 text: keywords, a data format, and the data."""
    columns: list[str] = []
    rows: list[tuple[int, list[str]]] = []
    counts: dict[str, tuple[int, int]] = {}
    stated_by = ""
    place = "head"
    for number, line in enumerate(text.splitlines(), start=1):
        found = [] if line.lstrip().startswith("#") else _tokens(line)
        if not found:
            continue
        word = found[0].upper()
        if word in ("BEGIN_DATA_FORMAT", "BEGIN_DATA"):
            place = word
        elif word in ("END_DATA_FORMAT", "END_DATA"):
            if place != word.replace("END", "BEGIN"):
                raise BadTable(f"Line {number} of {file} has {word} without its begin.", row=number)
            place = "head"
            if word == "END_DATA":
                break
        elif place == "BEGIN_DATA_FORMAT":
            columns += found
        elif place == "BEGIN_DATA":
            rows.append((number, found))
        elif word in ("NUMBER_OF_FIELDS", "NUMBER_OF_SETS"):
            if len(found) < 2 or not found[1].isdecimal():
                raise BadTable(
                    f"Line {number} of {file}: {word} must be followed by a whole number.",
                    row=number, column=word,
                )  # fmt: skip
            counts[word] = (number, int(found[1]))
        elif word in ("WEIGHTING_FUNCTION", "MEASUREMENT_SOURCE", "ILLUMINANT", "OBSERVER"):
            stated_by += f" {line}"
    if place != "head":
        missing = place.replace("BEGIN", "END")
        raise BadTable(f"{file} has {place} but no {missing}; the file seems to be cut off.")
    if not columns:
        raise BadTable(f"{file} has no names between BEGIN_DATA_FORMAT and END_DATA_FORMAT.")
    for word, real in (("NUMBER_OF_FIELDS", len(columns)), ("NUMBER_OF_SETS", len(rows))):
        if word in counts and counts[word][1] != real:
            number, stated = counts[word]
            raise BadTable(
                f"Line {number} of {file} says {word} {stated}, but there are {real}; the file "
                "seems to be cut off or altered.",
                row=number, column=word,
            )  # fmt: skip
    light = re.search(r"\b(?:ILLUM\w*)\W+(?:CIE\W+)?([A-Z]\d*)\b", stated_by, re.IGNORECASE)
    observer = re.search(r"\bOBSERV\w*\W+(?:CIE\W+)?(\d+)", stated_by, re.IGNORECASE)
    return ReferenceTable(
        file, columns, rows,
        light[1].upper() if light else "",
        {"1931": "2", "1964": "10"}.get(observer[1], observer[1]) if observer else "",
    )  # fmt: skip
