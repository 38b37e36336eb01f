"""Tables in and out as CSV."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import BadTable, LibraryError, NotFound
from .xlsx import read_xlsx

if TYPE_CHECKING:
    import pandas as pd

# A cell that starts so would be run as a formula by a spreadsheet program (common practice); the
# wide forms are taken for the plain ones by some.
_FORMULA = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")


# A hundred thousand swatches with every column fill about 30 MB. Our own choice.
_MOST_BYTES = 200_000_000


def read_table(path: str | Path, *, refused: dict[Any, BadTable] | None = None) -> pd.DataFrame:
    """A CSV or XLSX as text cells: commas, semicolons or tabs; a byte-order mark is ignored.

    Nothing is guessed: 01234 stays text, and so do None and NA. The index, called `row`, holds
    the numbers a spreadsheet shows beside the rows. refused : a dict that takes the error of each
    row with too few or too many cells by its number, which is then left out; else the first is
    raised. Raises NotFound or BadTable.
    """
    path = Path(path)
    if path.exists() and not path.is_file():
        raise NotFound(f"{path} is no file. Name a table, a CSV or XLSX.")
    if path.is_file() and path.stat().st_size > _MOST_BYTES:
        raise BadTable(
            f"{path.name} is larger than {_MOST_BYTES // 10**6} MB, more than any record of "
            "swatches. Save the sheet alone as CSV."
        )
    if path.suffix.lower() in (".xlsx", ".xlsm"):
        return table_of(read_xlsx(path), path.name, refused=refused)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise NotFound(f"The table {path} cannot be read: {error.strerror}.") from error
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    if not text.strip():
        raise BadTable(f"The table {path.name} is empty. Save the sheet again as CSV.")
    if "\x00" in text:
        raise BadTable(f"{path.name} is not a CSV. Save the sheet as CSV and try again.")
    # Lines end as the file's own program ends them: LF, CR LF or CR alone.
    first = re.split(r"\r\n|\r|\n", text.strip("\r\n"), maxsplit=1)[0]
    separator = max(",;\t", key=first.count)
    rows: list[list[str]] = []
    try:
        rows.extend(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error as error:
        number = len(rows) + 1
        raise BadTable(
            f"Row {number} of {path.name} cannot be read: a cell is longer than "
            f"{csv.field_size_limit()} characters, often because a quotation mark is not closed. "
            "Mend the row and try again.",
            row=number,
        ) from error
    cells = [[taken_back(cell) for cell in row] for row in rows]
    return table_of(cells, path.name, refused=refused)


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
