"""Tables in and out as CSV."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import BadTable, LibraryError, NotFound
from .ods import read_ods
from .xlsx import read_xlsx

if TYPE_CHECKING:
    import pandas as pd

# A cell that starts so would be run as a formula by a spreadsheet program (common practice); the
# wide forms are taken for the plain ones by some.
_FORMULA = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")


# A hundred thousand swatches with every column fill about 30 MB. Our own choice.
_MOST_BYTES = 200_000_000
# How many lines are looked at to tell what parts the cells. Our own choice.
_TO_TELL = 60


def read_table(path: str | Path, *, refused: dict[Any, BadTable] | None = None) -> pd.DataFrame:
    """A CSV, XLSX or ODS as text cells under its headings, which are its first filled row.

    Nothing is guessed: 01234 stays text, and so do None and NA. The index, called `row`, holds
    the numbers a spreadsheet shows beside the rows. refused : a dict that takes the error of each
    row with too few or too many cells by its number, which is then left out; else the first is
    raised. Raises NotFound or BadTable.
    """
    return table_of(read_rows(path), Path(path).name, refused=refused)


def read_rows(path: str | Path) -> list[list[str]]:
    """All rows of a CSV, XLSX or ODS as text cells, headings and all; blank rows too.

    A CSV may be in UTF-8, UTF-16 or the encoding of older Windows programs, its cells parted by
    commas, semicolons or tabs. Raises NotFound or BadTable.
    """
    path = Path(path)
    if path.exists() and not path.is_file():
        raise NotFound(f"{path} is no file. Name a table, a CSV, XLSX or ODS.")
    if path.is_file() and path.stat().st_size > _MOST_BYTES:
        raise BadTable(
            f"{path.name} is larger than {_MOST_BYTES // 10**6} MB, more than any record of "
            "swatches. Save the sheet alone as CSV."
        )
    if path.suffix.lower() in (".xlsx", ".xlsm"):
        return read_xlsx(path)
    if path.suffix.lower() == ".ods":
        return read_ods(path)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise NotFound(f"The table {path} cannot be read: {error.strerror}.") from error
    text = _decoded(data)
    if not text.strip():
        raise BadTable(f"The table {path.name} is empty. Save the sheet again as CSV.")
    if "\x00" in text:
        raise BadTable(f"{path.name} is not a CSV. Save the sheet as CSV and try again.")
    # Lines end as the file's own program ends them: LF, CR LF or CR alone.
    lines = re.split(r"\r\n|\r|\n", text.strip("\r\n"))
    separator = _separator(lines)
    rows = _parsed(text, separator, path.name)
    if re.search(rf'(^|[{separator}\r\n])\s*"\s*([{separator}\r\n]|$)', text):
        # A quotation mark alone in its cell may be a ditto mark: what makes the rows even is right.
        quoted = _parsed(_dittos_quoted(text, separator), separator, path.name)
        rows = min(rows, quoted, key=_unevenness)
    return [[taken_back(cell) for cell in row] for row in rows]


def _parsed(text: str, separator: str, called: str) -> list[list[str]]:
    rows: list[list[str]] = []
    try:
        rows.extend(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error as error:
        number = len(rows) + 1
        raise BadTable(
            f"Row {number} of {called} cannot be read: a cell is longer than "
            f"{csv.field_size_limit()} characters, often because a quotation mark is not closed. "
            "Mend the row and try again.",
            row=number,
        ) from error
    return rows


def _unevenness(rows: list[list[str]]) -> int:
    """How many rows have another number of cells than most."""
    counts = Counter(len(row) for row in rows if row)
    return sum(counts.values()) - max(counts.values(), default=0)


def _decoded(data: bytes) -> str:
    # What spreadsheet programs call Unicode text; without its mark, every other byte is empty.
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    head = data[:1000]
    if len(head) > 3 and head[1::2].count(0) > 0.4 * len(head) > 0 == head[::2].count(0):
        return data.decode("utf-16-le", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _separator(lines: list[str]) -> str:
    """What parts the cells: what stands equally often in most lines, for titles have none and
    decimal commas come as they come."""

    def evenness(mark: str) -> int:
        counts = Counter(line.count(mark) for line in lines[:_TO_TELL] if line.strip())
        return max((n * count for n, count in counts.items()), default=0)

    return max(",;\t", key=evenness)


def _dittos_quoted(text: str, separator: str) -> str:
    """Text in which every quotation mark that is alone in its cell is quoted itself."""
    out = []
    for line in re.split(r"(\r\n|\r|\n)", text):
        cells = line.split(separator)
        out.append(separator.join('""""' if c.strip() == '"' else c for c in cells))
    return "".join(out)


def table_of(
    rows: list[list[str]], called: str, *, refused: dict[Any, BadTable] | None = None
) -> pd.DataFrame:
    """Rows of text cells, the heading first, as a table with the sheet's row numbers.

    called : the file's name, for sentences. refused : as for `read_table`. Raises BadTable.
    """
    import pandas as pd

    top = next((i for i, row in enumerate(rows) if any(cell.strip() for cell in row)), None)
    if top is None:
        raise BadTable(f"The table {called} is empty.")
    heading = [name.strip() for name in rows[top]]
    twice = sorted({n for n in heading if heading.count(n) > 1})
    if twice:
        raise BadTable(f"{called} has the column '{twice[0]}' twice; keep one.", row=top + 1)
    cells: list[list[str]] = []
    for number, row in enumerate(rows[top + 1 :], start=top + 2):
        if not any(cell.strip() for cell in row):
            continue
        if len(row) != len(heading):
            count = "1 cell" if len(row) == 1 else f"{len(row)} cells"
            error = BadTable(
                f"Row {number} of {called} has {count} where the heading has {len(heading)}. Put "
                "a cell that holds a comma into quotes, and close every quotation mark.",
                row=number,
            )
            if refused is None:
                raise error
            refused[number] = error
            continue
        cells.append([str(number), *row])
    if not cells:
        if refused:
            raise next(iter(refused.values()))
        raise BadTable(f"The table {called} has a heading and no rows.")
    table = pd.DataFrame([c[1:] for c in cells], columns=heading, dtype=str)
    table.index = pd.Index([int(c[0]) for c in cells], name="row")
    return table


def write_table(table: pd.DataFrame, path: str | Path) -> None:
    """Write a table as plain CSV (UTF-8, commas); a cell a spreadsheet would run gets an
    apostrophe before it, which `read_table` takes away again."""
    rows = table.astype(object).where(table.notna(), "").to_numpy().tolist()
    try:
        with open(path, "w", encoding="utf-8", newline="") as file:
            out = csv.writer(file)
            out.writerow([harmless(str(name)) for name in table.columns])
            out.writerows([harmless(v) if isinstance(v, str) else v for v in row] for row in rows)
    except OSError as error:
        raise LibraryError(
            f"The table {path} cannot be written: {error.strerror or error}. Name another place."
        ) from error


def harmless(text: str) -> str:
    """A cell that no spreadsheet runs as a formula; `taken_back` undoes it exactly."""
    if _number(text):
        return text
    return "'" + text if text.startswith(_FORMULA) or _marked(text) else text


def taken_back(cell: str) -> str:
    """A cell without the apostrophe that kept a spreadsheet from running it.

    >>> taken_back(harmless("=1+1"))
    '=1+1'
    """
    return cell[1:] if _marked(cell) else cell


def _marked(text: str) -> bool:
    return text[:1] == "'" and text[1:].startswith((*_FORMULA, "'"))


def _number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
