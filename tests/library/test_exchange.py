"""Tables in and out."""

import pandas as pd
import pytest

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
    assert read_table(path)["name"].tolist() == ["'=cmd", "-3.5", "'@x", "plain"]
