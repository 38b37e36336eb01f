"""A workbook of a few bytes fills no memory: it is looked at before it is opened."""

import re
import zipfile

import pytest

from swatchbath.errors import BadTable
from swatchbath.library import read_table, workbook_limits

openpyxl = pytest.importorskip("openpyxl")


@pytest.fixture
def book(tmp_path):
    """A workbook of two rows: its file."""
    made = openpyxl.Workbook()
    made.active.append(["name", "dyestuff"])
    made.active.append(["12a", "weld"])
    made.save(tmp_path / "book.xlsx")
    return tmp_path / "book.xlsx"


def with_sheet(file, change):
    """The same workbook with the XML of its sheet changed."""
    with zipfile.ZipFile(file) as archive:
        held = {name: archive.read(name) for name in archive.namelist()}
    name = "xl/worksheets/sheet1.xml"
    held[name] = change(held[name].decode()).encode()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as into:
        for name, content in held.items():
            into.writestr(name, content)
    return file


def cell(place):
    row = re.sub(r"\D", "", place)
    text = f'<row r="{row}"><c r="{place}"><v>1</v></c></row></sheetData>'
    return lambda sheet: sheet.replace("</sheetData>", text)


def after(text):
    return lambda sheet: sheet.replace("</sheetData>", f"</sheetData>{text}")


FAR = {
    "far cell": cell("XFD1048576"),
    "far row": cell("A1048576"),
    "far column": cell("XFD3"),
    "far cell in small letters": cell("xfd1048576"),
    "wide and tall": cell("BXX199999"),
    "merged without end": after('<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'),
    "merged many times": after(
        "<mergeCells>" + '<mergeCell ref="A1:Z90000"/>' * 3 + "</mergeCells>"
    ),
    "link over all": after('<hyperlinks><hyperlink ref="A1:XFD1048576"/></hyperlinks>'),
    "document type": lambda sheet: re.sub(
        "<worksheet", '<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet', sheet, count=1
    ),
}


@pytest.mark.parametrize("what", FAR)
def test_a_few_bytes_that_reach_far_are_refused_in_a_sentence(book, what, monkeypatch):
    import openpyxl as reader

    monkeypatch.setattr(reader, "load_workbook", lambda *a, **k: pytest.fail("it was opened"))
    file = with_sheet(book, FAR[what])
    assert file.stat().st_size < 6000
    with pytest.raises(BadTable, match=r"book.xlsx was not opened: .*CSV"):
        read_table(file)


def test_a_workbook_that_unpacks_to_hundreds_of_times_its_size_is_refused(book):
    file = with_sheet(book, lambda sheet: sheet + " " * 40_000_000)
    with pytest.raises(BadTable, match="hundreds of times"):
        read_table(file)


def test_a_large_one_is_read_as_before(book, monkeypatch):
    assert read_table(book).to_numpy().tolist() == [["12a", "weld"]]
    merged = after('<mergeCells><mergeCell ref="A2:B2"/></mergeCells>')
    assert len(read_table(with_sheet(book, cell("B5000")))) == 2
    assert len(read_table(with_sheet(book, merged))) == 2
    monkeypatch.setattr(workbook_limits, "_TOTAL", 1000)
    with pytest.raises(BadTable, match="would fill"):
        read_table(book)


@pytest.mark.parametrize("cut", [10, 500, 2000])
def test_half_a_workbook_is_refused_in_a_sentence(book, cut):
    book.write_bytes(book.read_bytes()[:cut])
    with pytest.raises(BadTable, match="damaged or no XLSX"):
        read_table(book)
