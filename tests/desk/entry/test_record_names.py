"""Names, lots and marks: each refusal says where and what to do."""

import shutil

import pytest

import swatchbath as sb
from command import run
from record_made import MARKS, PHOTO, put, written
from swatchbath import desk
from swatchbath.errors import BadTable, BadValue


@pytest.fixture
def place(tmp_path):
    """A folder for a library that is not there yet."""
    return tmp_path / "house" / "library"


def test_swatches_of_a_table_without_names_have_none(place, tmp_path):
    done = put(place, "fibre,dyestuff\nwool,weld\nsilk,weld\n", tmp_path)
    assert list(done.codes) == list(done.codes.values())
    with sb.Library(place) as lib:
        assert [lib.swatch(c).name for c in lib.codes()] == [None, None]


def test_without_a_name_the_only_mark_of_a_photo_is_the_one(place, tmp_path):
    shutil.copy(PHOTO, tmp_path)
    one = written(tmp_path, MARKS.format(PHOTO.name), "one.csv")
    two = written(tmp_path, one.read_text() + f"{PHOTO.name},b,swatch,805,245,48\n", "two.csv")
    table = f"fibre,dyestuff,photo\nwool,weld,{PHOTO.name}\n"
    with pytest.raises(BadTable, match="Row 2, column name: .*2 swatches"):
        put(place, table, tmp_path, marks=two)
    assert put(place, table, tmp_path, marks=one).readings == 1


@pytest.mark.parametrize(
    ("marks", "says"),
    [("b.jpg,a,swatch,1,1,1", "has no marks"), ("a.jpg,card,card,1,1,1", "for no swatch")],
)
def test_a_photo_without_its_marks_is_refused_with_its_row(place, tmp_path, marks, says):
    marks = written(tmp_path, f"photo,name,kind,x,y,half\n{marks}\n", "marks.csv")
    with pytest.raises(BadTable, match=f"Row 2, column photo: .*{says}"):
        put(place, "name,fibre,dyestuff,photo\na,wool,weld,a.jpg\n", tmp_path, marks=marks)


def test_an_empty_name_beside_a_photo_is_refused(place, tmp_path):
    table = "name,fibre,dyestuff,photo\na,wool,weld,one.jpg\n ,wool,weld,one.jpg\n"
    with pytest.raises(BadTable, match="Row 3, column name: the cell is empty"):
        put(place, table, tmp_path)


@pytest.mark.parametrize("name", ["62 12 48", "#c8a050", "33333"])
def test_a_name_that_could_be_taken_for_something_else_is_refused(place, tmp_path, name):
    with pytest.raises(BadTable, match="Row 2, column name") as error:
        put(place, f"name,fibre,dyestuff\n{name},wool,weld\n", tmp_path)
    assert error.value.column == "name"
    with pytest.raises(BadValue, match="name"):
        desk.record(place, {"fibre": "wool", "dyestuff": "weld"}, name=name)
    assert not place.parent.exists()


def test_an_empty_name_typed_is_refused(place):
    result = run("record", "--set", "fibre=wool", "--set", "dyestuff=weld", "--name", " ",
                 "--library", place, ok=2)  # fmt: skip
    assert "name of the swatch is empty" in result.stderr


def test_a_lot_of_two_dye_days_is_refused_with_its_rows(place, tmp_path):
    head = "name,fibre,dyestuff,lot,session\n"
    with pytest.raises(BadTable, match="Rows 2 and 5 are both of lot 12.*two dye days") as error:
        put(place, head + "a,wool,weld,12,2026-03-14\nb,wool,weld,13,\n\n"
            "c,wool,weld,12,2026-03-15\n", tmp_path)  # fmt: skip
    assert (error.value.row, error.value.column) == (5, "session")
    put(place, head + "a,wool,weld,12,\nb,wool,weld,12,2026-03-14\n", tmp_path)
    with pytest.raises(BadTable, match="Row 2, column session: .*2026-03-14, not 2026-03-15"):
        put(place, head + "d,wool,weld,12,2026-03-15\n", tmp_path)
    with sb.Library(place) as lib:
        assert [lib.swatch(n).session for n in "ab"] == ["2026-03-14", "2026-03-14"]


@pytest.mark.parametrize(
    ("cell", "column"), [("1,1,0", "half"), ("1,1,nan", "half"), ("1,1,-3", "half"),
                         ("inf,1,3", "x"), ("1,here,3", "y")]
)  # fmt: skip
def test_a_place_that_cannot_be_is_refused_with_row_and_column(place, tmp_path, cell, column):
    marks = written(tmp_path, f"photo,name,kind,x,y,half\n\na.jpg,a,swatch,{cell}\n", "marks.csv")
    with pytest.raises(BadTable, match=f"Row 3 .*column {column}") as error:
        put(place, "name,fibre,dyestuff,photo\na,wool,weld,a.jpg\n", tmp_path, marks=marks)
    assert (error.value.row, error.value.column) == (3, column)


def test_rows_after_blank_lines_keep_the_numbers_a_spreadsheet_shows(place, tmp_path):
    with pytest.raises(BadTable, match="Row 5, column pH"):
        put(place, "name,fibre,dyestuff,pH\n\n\na,wool,weld,6\nb,wool,weld,19\n", tmp_path)
    done = put(place, "name,fibre,dyestuff,pH\n\n\na,wool,weld,13\n", tmp_path)
    assert done.questions[0].startswith("Row 4, column pH")
