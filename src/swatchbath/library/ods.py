"""The first sheet of an OpenDocument spreadsheet as rows of text (ISO/IEC 26300, from memory)."""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from ..errors import BadTable, NotFound

_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
# Far more than any record of swatches, and little enough to be held. Our own choice.
_MOST_BYTES, _MOST_ROWS, _MOST_COLUMNS = 100_000_000, 200_000, 1000


def read_ods(path: Path) -> list[list[str]]:
    """Every row of the first sheet as text; formulas by their last value.

    A cell merged down stands in each of its rows. Raises NotFound, or BadTable where it is no such
    spreadsheet or far too large.
    """
    if not path.is_file():
        raise NotFound(f"The table {path} cannot be read: there is no such file.")
    broken = BadTable(
        f"{path.name} is damaged or no ODS spreadsheet. Save the sheet as CSV and try again."
    )
    try:
        with zipfile.ZipFile(path) as archive, archive.open("content.xml") as file:
            content = file.read(_MOST_BYTES + 1)
    except (OSError, KeyError, ValueError, EOFError, RuntimeError, zlib.error,
            zipfile.BadZipFile, NotImplementedError) as error:  # fmt: skip
        raise broken from error
    if len(content) > _MOST_BYTES:
        raise _too_large(path)
    # No spreadsheet program writes these, and they can be made to unfold without end.
    if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        raise broken
    try:
        sheet = ElementTree.fromstring(content).find(f".//{_TABLE}table")
    except ElementTree.ParseError as error:
        raise broken from error
    if sheet is None:
        raise BadTable(f"{path.name} has no sheet with cells.")
    return _rows(sheet, path)


def _rows(sheet: ElementTree.Element, path: Path) -> list[list[str]]:
    rows: list[list[str]] = []
    empty = 0  # rows that count only where a filled one comes after them
    down: dict[int, tuple[int, str]] = {}  # columns of cells merged down: rows to go, text
    for row in sheet.iter(f"{_TABLE}table-row"):
        cells = _cells(row, down, path)
        again = _count(row, "number-rows-repeated")
        if not any(cells):
            empty += again
            continue
        if len(rows) + empty + again > _MOST_ROWS:
            raise _too_large(path)
        rows += [[] for _ in range(empty)]
        rows += [list(cells) for _ in range(again)]
        empty = 0
    wide = max((len(row) for row in rows), default=0)
    return [row + [""] * (wide - len(row)) for row in rows]


def _cells(row: ElementTree.Element, down: dict[int, tuple[int, str]], path: Path) -> list[str]:
    cells: list[str] = []
    empty = 0
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        text = _text(cell)
        at = len(cells) + empty
        left, above = down.pop(at, (0, ""))
        if left and cell.tag.endswith("covered-table-cell"):
            text = above
        else:
            left, above = _count(cell, "number-rows-spanned"), text
        if left > 1:
            down[at] = (left - 1, above)
        again = _count(cell, "number-columns-repeated")
        if not text:
            empty += again
            continue
        if len(cells) + empty + again > _MOST_COLUMNS:
            raise _too_large(path)
        cells += [""] * empty + [text] * again
        empty = 0
    return cells


def _text(cell: ElementTree.Element) -> str:
    kind = cell.get(f"{_OFFICE}value-type", "")
    value = cell.get(f"{_OFFICE}value", "")
    try:
        if kind == "percentage":
            return f"{float(value) * 100:.10g} %"
        if kind in ("float", "currency"):
            return f"{float(value):.15g}"
    except ValueError:
        return value
    if kind == "date":
        return cell.get(f"{_OFFICE}date-value", "").removesuffix("T00:00:00")
    if kind == "boolean":
        return "yes" if cell.get(f"{_OFFICE}boolean-value") == "true" else "no"
    return "\n".join("".join(_words(p)) for p in cell.findall(f"{_TEXT}p"))


def _words(part: ElementTree.Element) -> Iterator[str]:
    yield part.text or ""
    for inner in part:
        if inner.tag == f"{_TEXT}s":
            yield " "
        elif inner.tag in (f"{_TEXT}tab", f"{_TEXT}line-break"):
            yield "\n" if inner.tag.endswith("break") else "\t"
        else:
            yield from _words(inner)
        yield inner.tail or ""


def _count(of: ElementTree.Element, name: str) -> int:
    """How often something stands there; once where nothing sound is said."""
    text = of.get(f"{_TABLE}{name}", "1")
    return int(text) if text.isdecimal() and 1 <= len(text) < 9 else 1


def _too_large(path: Path) -> BadTable:
    return BadTable(
        f"{path.name} holds more than any record of swatches, or a cell far from the others. Save "
        "the sheet alone as CSV."
    )
