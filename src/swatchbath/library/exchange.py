"""Tables in and out as CSV."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadTable, LibraryError, NotFound

if TYPE_CHECKING:
    import pandas as pd

# A cell that starts so would be run as a formula by a spreadsheet program (common practice).
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def read_table(path: str | Path) -> pd.DataFrame:
    """A CSV as text cells: commas, semicolons or tabs; a byte-order mark is ignored.

    Nothing is guessed: 01234 stays text, and so do None and NA. Raises NotFound or BadTable.
    """
    import pandas as pd

    path = Path(path)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise NotFound(f"The table {path} cannot be read: {error.strerror}.") from error
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    if not text.strip():
        raise BadTable(f"The table {path.name} is empty.")
    if "\x00" in text:
        raise BadTable(f"{path.name} is not a CSV. Save the sheet as CSV and try again.")
    first = text.splitlines()[0]
    separator = max(",;\t", key=first.count)
    rows = list(csv.reader(io.StringIO(text), delimiter=separator))
    heading = [name.strip() for name in rows[0]]
    twice = sorted({n for n in heading if heading.count(n) > 1})
    if twice:
        raise BadTable(f"{path.name} has the column '{twice[0]}' twice; keep one.", row=1)
    cells: list[list[str]] = []
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        if len(row) != len(heading):
            raise BadTable(
                f"Row {number} of {path.name} has {len(row)} cells where the heading has "
                f"{len(heading)}. Put a cell that holds a comma into quotes.",
                row=number,
            )
        cells.append([str(number), *row])
    if not cells:
        raise BadTable(f"The table {path.name} has a heading and no rows.")
    table = pd.DataFrame([c[1:] for c in cells], columns=heading, dtype=str)
    table.index = pd.Index([int(c[0]) for c in cells], name="row")
    return table


def write_table(table: pd.DataFrame, path: str | Path) -> None:
    """Write a table as plain CSV (UTF-8, commas); cells a spreadsheet would run are quoted."""

    def safe(value: object) -> object:
        if isinstance(value, str) and value.startswith(_FORMULA) and not _number(value):
            return "'" + value
        return value

    try:
        table.map(safe).to_csv(path, index=False, encoding="utf-8")
    except OSError as error:
        raise LibraryError(
            f"The table {path} cannot be written: {error.strerror or error}. Name another place."
        ) from error


def _number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
