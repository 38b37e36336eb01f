"""Nothing told is lost in silence: it is kept, or refused with its place."""

import shutil

import pytest

import swatchbath as sb
from record_made import MARKS, PHOTO, put, written
from swatchbath import desk
from swatchbath.errors import BadTable, BadValue


@pytest.fixture
def place(tmp_path):
    """A folder for a library that is not there yet."""
    return tmp_path / "house" / "library"


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ("mordant_owf=12", "mordant_owf"),
        ("tannin_owf=5", "tannin_owf"),
        ("assist_owf=5", "assist_owf"),
        ("modifier_owf=2", "modifier_owf"),
        ("modifier_owf=2 modifier_pH=6", "modifier_owf"),
        ("mordant=none mordant_owf=12", "mordant_owf"),
        ("mordant=unmordanted mordant_owf=12", "mordant_owf"),
        ("modifier=none modifier_owf=2", "modifier_owf"),
        ("dye_owf_2=5", "dye_owf_2"),
        ("dye_2_how=over", "dye_2_how"),
        ("dyestuff_form_2=dried", "dyestuff_form_2"),
        ("dyestuff_2=madder dye_2_how=beside", "dye_2_how"),
        ("dyestuff_3=madder dye_owf_3=5", "dyestuff_3"),
        ("modifier_2=iron", "modifier_2"),
        ("modifier=iron modifier_3=iron", "modifier_3"),
    ],
)
def test_a_cell_that_belongs_to_nothing_is_refused_with_its_place(place, tmp_path, cells, column):
    cells = dict(c.split("=") for c in cells.split())
    table = f"name,fibre,dyestuff,{','.join(cells)}\n\na,wool,weld,{','.join(cells.values())}\n"
    with pytest.raises(BadTable, match=f"Row 3, column {column}: .*\\.$") as error:
        put(place, table, tmp_path)
    assert (error.value.row, error.value.column) == (3, column)
    with pytest.raises(BadValue, match=f"^Column {column}: "):
        desk.record(place, {"fibre": "wool", "dyestuff": "weld"} | cells)
    assert not place.parent.exists()


def test_an_amount_of_nothing_that_is_nothing_is_no_trouble(place, tmp_path):
    head = "name,fibre,dyestuff,mordant,mordant_owf,modifier,modifier_owf"
    table = f"{head}\na,wool,weld,none,0,none,none\n"
    put(place, table, tmp_path)
    with sb.Library(place) as lib:
        assert lib.swatch("a").conditions["mordant"] == "none"


def test_other_words_for_how_dyestuffs_met_are_understood(place, tmp_path):
    put(place, "name,fibre,dyestuff,dyestuff_2,dye_2_how,dyestuff_3,dye_3_how\n"
        "a,wool,weld,madder,Overdyed,lac,same bath\n", tmp_path)  # fmt: skip
    with sb.Library(place) as lib:
        told = lib.swatch("a").conditions
        assert (told["dye_2_how"], told["dye_3_how"]) == ("over", "together")


def test_a_dye_day_without_a_lot_and_a_photo_without_marks_are_kept(place, tmp_path):
    table = (
        "name,fibre,dyestuff,session,photo,state,shelf\n"
        "a,wool,weld,2026-03-14,one.jpg,wet,3\n"
        "a,wool,weld,2026-03-14,two.jpg,wet,3\n"
    )
    done = put(place, table, tmp_path)
    assert "names are kept" in done.left_out[0]
    with sb.Library(place) as lib:
        swatch = lib.swatch("a")
    assert swatch.session == "2026-03-14"
    kept = {k: swatch.conditions[k] for k in ("photo", "state", "shelf")}
    assert kept == {"photo": "one.jpg; two.jpg", "state": "wet", "shelf": "3"}


@pytest.mark.parametrize("own", ["photo", "swatch"])
def test_a_typed_cell_that_is_no_bath_is_refused(place, own):
    with pytest.raises(BadValue, match=f"The {own} is no part of the bath"):
        desk.record(place, {"fibre": "wool", "dyestuff": "weld", own: "x"})


def test_marks_that_belong_to_no_row_are_told(place, tmp_path):
    shutil.copy(PHOTO, tmp_path)
    marks = written(
        tmp_path,
        MARKS.format(PHOTO.name) + f"{PHOTO.name},b,swatch,805,245,48\nc.jpg,c,swatch,1,1,1\n",
        "marks.csv",
    )
    done = put(
        place, f"name,fibre,dyestuff,photo\na,wool,weld,{PHOTO.name}\n", tmp_path, marks=marks
    )
    assert done.readings == 1
    assert any("mark for b" in s for s in done.left_out)
    assert any(s.startswith("c.jpg has marks") for s in done.left_out)


def test_a_row_without_its_mark_keeps_its_bath_and_is_told(place, tmp_path):
    shutil.copy(PHOTO, tmp_path)
    marks = written(tmp_path, MARKS.format(PHOTO.name), "marks.csv")
    table = f"name,fibre,dyestuff,photo\na,wool,weld,{PHOTO.name}\nb,wool,weld,{PHOTO.name}\n"
    done = put(place, table, tmp_path, marks=marks)
    assert [s.split(":")[0] for s in done.left_out] == ["Row 3, b"]
    with sb.Library(place) as lib:
        assert lib.swatch("b").conditions["photo"] == PHOTO.name
        assert lib.swatch("b").measured is None
