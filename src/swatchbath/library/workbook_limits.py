"""Whether a workbook may be opened: a few bytes can name a cell so far off that reading the sheet
up to it takes minutes and gigabytes."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from xml.parsers import expat

from ..errors import BadTable
from .unpacking import blocks, why_not

# Far more than a record of swatches needs: files, bytes unpacked, columns, rows, and cells of the
# sheet up to its last one, empty ones too. Our own choice.
_MEMBERS, _TOTAL = 5_000, 100_000_000
_COLUMNS, _ROWS, _CELLS = 2_000, 200_000, 3_000_000
# Elements that name a cell or a range, and the attribute that does. openpyxl looks at every cell
# of them.
_NAMING = {"c": "r", "row": "r", "mergeCell": "ref", "hyperlink": "ref"}
_PLACE = re.compile(r"\$?([A-Za-z]{0,3})\$?([0-9]{0,7})")


def check_workbook(path: Path) -> None:
    """BadTable where a workbook is larger than it may be or names a cell too far off.

    Raises zipfile.BadZipFile and its like where it is no archive.
    """
    size = path.stat().st_size
    with zipfile.ZipFile(path) as archive:
        reason = why_not(archive, size, members=_MEMBERS, total=_TOTAL)
        if reason is not None:
            raise BadTable(
                f"{path.name} was not opened: {reason}. Save the sheet alone as CSV and try again."
            )
        for name in archive.namelist():
            _check_sheet(archive, name, path.name)


class _Sheet:
    """How far one sheet reaches, seen while it is parsed."""

    def __init__(self, called: str) -> None:
        self.called, self.columns, self.rows, self.covered = called, 0, 0, 0

    def start(self, element: str, attributes: dict[str, str]) -> None:
        """One element begins."""
        kind = element.rpartition(":")[2]
        if kind not in _NAMING:
            return
        for reference in attributes.get(_NAMING[kind], "").split():
            ends = [_place(end) for end in reference.split(":")]
            self.columns = max(self.columns, *(c for c, _ in ends))
            self.rows = max(self.rows, *(r for _, r in ends))
            if kind in ("mergeCell", "hyperlink"):
                self.covered += (abs(ends[-1][0] - ends[0][0]) + 1) * (
                    abs(ends[-1][1] - ends[0][1]) + 1
                )
            if (
                self.columns > _COLUMNS
                or self.rows > _ROWS
                or max(self.columns * self.rows, self.covered) > _CELLS
            ):
                raise BadTable(
                    f"{self.called} was not opened: its sheet reaches as far as {reference[:20]}, "
                    f"more than {_ROWS} rows, {_COLUMNS} columns or {_CELLS} cells. Delete the "
                    "rows and columns behind your table, or save the sheet as CSV."
                )

    def doctype(self, *_: object) -> None:
        """A document type, which no workbook has and which can grow without end."""
        raise BadTable(
            f"{self.called} was not opened: it is written as no spreadsheet program writes it. "
            "Save the sheet as CSV."
        )


def _check_sheet(archive: zipfile.ZipFile, name: str, called: str) -> None:
    sheet = _Sheet(called)
    parser = expat.ParserCreate()
    parser.StartElementHandler = sheet.start
    parser.StartDoctypeDeclHandler = sheet.doctype
    try:
        for block in blocks(archive, name):
            parser.Parse(block, False)
    except expat.ExpatError:
        return  # a picture, or damaged, which openpyxl says


def _place(reference: str) -> tuple[int, int]:
    """Column and row of a cell, from 1; 0 where one is not told, as in a reference to a row."""
    found = _PLACE.fullmatch(reference)
    if found is None:
        return 0, 0
    column = 0
    for letter in found[1].upper():
        column = 26 * column + ord(letter) - 64
    return column, int(found[2] or 0)
