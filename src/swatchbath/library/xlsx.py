"""The first sheet of an XLSX workbook as rows of text, through openpyxl (the extra `xlsx`)."""

from __future__ import annotations

from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from ..errors import BadTable, NotFound
from .unpacking import SPOILED
from .workbook_limits import check_workbook


def read_xlsx(path: Path) -> list[list[str]]:
    """Every row of the first sheet as text, as it is shown; formulas by their last value.

    Raises NotFound, or BadTable when it is no workbook or openpyxl is not installed.
    """
    try:
        from openpyxl import load_workbook
        from openpyxl.utils.exceptions import InvalidFileException
    except ImportError as error:
        raise BadTable(
            f"Reading {path.name} needs openpyxl, which is not installed. Install it with pip "
            "install 'swatchbath[xlsx]', or save the sheet as CSV."
        ) from error
    if not path.is_file():
        raise NotFound(f"The table {path} cannot be read: there is no such file.")
    try:
        check_workbook(path)
        # Not as read-only, where a sheet of unknown size is cut short.
        book = load_workbook(path, data_only=True)
    except BadTable:
        raise
    except (InvalidFileException, *SPOILED, KeyError, TypeError, AttributeError, OSError) as error:
        raise BadTable(
            f"{path.name} is damaged or no XLSX workbook. Save the sheet as CSV and try again."
        ) from error
    sheet = book.worksheets[0] if book.worksheets else None
    if sheet is None:
        raise BadTable(f"{path.name} has no sheet with cells.")
    rows = [[_text(cell) for cell in row] for row in sheet.iter_rows()]
    # A cell merged down stands in each of its rows; one merged across in its first column.
    for merged in sheet.merged_cells.ranges:
        for row in rows[merged.min_row : merged.max_row]:
            row[merged.min_col - 1] = rows[merged.min_row - 1][merged.min_col - 1]
    # Columns that are empty to the right of all that is filled.
    wide = max((i + 1 for row in rows for i, cell in enumerate(row) if cell), default=0)
    return [row[:wide] for row in rows]


def _text(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, datetime) and value.time() == time(0):
        return value.date().isoformat()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        if "%" in str(cell.number_format):
            return f"{value * 100:.10g} %"
        return f"{value:.15g}"
    return str(value)
