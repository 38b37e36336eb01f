"""Tables in and out."""

import datetime
import tempfile
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from swatchbath.errors import BadTable, NotFound
from swatchbath.library import read_table, write_table


def written(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "baths.csv"
    path.write_bytes(text.encode(encoding))
    return path


def test_nothing_is_guessed(tmp_path):
    table = read_table(written(tmp_path, "name,mordant\n01234,none\nNA,None\n"))
    assert table["name"].tolist() == ["01234", "NA"]
    assert table["mordant"].tolist() == ["none", "None"]


def test_semicolons_byte_order_mark_and_blank_lines(tmp_path):
    table = read_table(written(tmp_path, "\ufeffname;pH\r\na;5,5\r\n;\r\nb;6\r\n"))
    assert table.columns.tolist() == ["name", "pH"]
    assert table["pH"].tolist() == ["5,5", "6"]
    assert table.index.tolist() == [2, 4]


def test_a_quoted_line_break_does_not_shift_cells(tmp_path):
    table = read_table(written(tmp_path, 'name,note\na,"one\ntwo"\nb,three\n'))
    assert table["note"].tolist() == ["one\ntwo", "three"]


def test_lines_may_end_in_a_bare_carriage_return(tmp_path):
    table = read_table(written(tmp_path, "name;pH\ra;5\rb;6\r"))
    assert table["name"].tolist() == ["a", "b"]
    assert table.index.tolist() == [2, 3]


def test_blank_lines_above_the_heading_count_as_rows(tmp_path):
    table = read_table(written(tmp_path, "\n\nname,pH\na,5\n"))
    assert table.index.tolist() == [4]


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_an_endless_cell_is_refused_with_its_row(tmp_path, ends):
    text = ends.join(["name,note", "a,short", "b," + "x" * 131073]) + ends
    with pytest.raises(BadTable, match="Row 3 .* quotation mark") as error:
        read_table(written(tmp_path, text))
    assert error.value.row == 3


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        (";;\n;;\n", "empty"),
        ("name,pH\n", "no rows"),
        ("name,name\na,b\n", "twice"),
        ("name,pH\na,5,5\n", "Row 2"),
        ("\x00\x01\x02", "not a CSV"),
    ],
)
def test_a_bad_table_is_refused_with_the_place(tmp_path, text, says):
    with pytest.raises(BadTable, match=says):
        read_table(written(tmp_path, text))


def test_a_missing_table_is_said(tmp_path):
    with pytest.raises(NotFound, match="cannot be read"):
        read_table(tmp_path / "none.csv")


def test_cells_a_spreadsheet_would_run_are_made_harmless(tmp_path):
    path = tmp_path / "out.csv"
    write_table(pd.DataFrame({"name": ["=cmd", "-3.5", "@x", "plain"]}), path)
    lines = path.read_text(encoding="utf-8").split()
    assert lines == ["name", "'=cmd", "-3.5", "'@x", "plain"]


PLAIN = st.text(
    st.one_of(
        st.characters(blacklist_categories=["Cs"], blacklist_characters="\x00"),
        st.sampled_from("=+-@'\"\t\r\n,;0\u202e\u05d0\U0001f9f6"),
    ),
    max_size=12,
)


# Cells that a spreadsheet would run, and those that look as if they had been made harmless.
ODD = st.one_of(PLAIN, st.tuples(st.sampled_from("=+-@'\t\r\n"), PLAIN).map("".join))


@example([("'=x", "=x"), ("''x", "'"), ("-3", "-3 x")])
@given(st.lists(st.tuples(ODD, ODD), min_size=1, max_size=8))
def test_odd_text_comes_back_as_it_went_out(rows):
    table = pd.DataFrame([["x", *row] for row in rows], columns=["name", "one", "two"])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "out.csv"
        write_table(table, path)
        back = read_table(path)
    assert back.to_numpy().tolist() == table.to_numpy().tolist()


def test_a_workbook_reads_as_its_cells_are_shown(tmp_path):
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["name", "pH", "alum", "day"])
    sheet.append(["01234", 5.5, 0.12, datetime.date(2026, 3, 14)])
    sheet["C2"].number_format = "0%"
    book.save(tmp_path / "pots.xlsx")
    table = read_table(tmp_path / "pots.xlsx")
    assert table.iloc[0].tolist() == ["01234", "5.5", "12 %", "2026-03-14"]
    (tmp_path / "no.xlsx").write_bytes(b"PK no workbook")
    with pytest.raises(BadTable, match="no XLSX"):
        read_table(tmp_path / "no.xlsx")
