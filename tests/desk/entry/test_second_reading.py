"""A further photo finds its swatch, and leaves the bath as it is on record."""

import shutil

import pytest

import swatchbath as sb
from command import run
from record_made import CARD, MARKS, OTHER, PHOTO, PLACE, put, written
from swatchbath import desk
from swatchbath.errors import BadTable, BadValue


@pytest.fixture
def place(tmp_path):
    """A folder for a library that is not there yet."""
    return tmp_path / "house" / "library"


def test_a_second_photo_adds_a_reading_and_leaves_the_bath_alone(place, tmp_path):
    code = desk.record(place, {"fibre": "wool", "dyestuff": "weld", "pH": "6"}, name="a").codes["a"]
    done = desk.record(place, {}, photo=PHOTO, card=CARD, swatch=PLACE, code="a")
    assert (done.codes, done.readings, done.cautions) == ({code: code}, 1, ())
    # What is told beside it must agree.
    desk.record(
        place,
        {"pH": "6", "fibre": "Wool"},
        photo=PHOTO,
        card=CARD,
        swatch=PLACE,
        code=code.lower(),
        state="wet",
    )
    for bath, says in (
        ({"pH": "7"}, "Column pH: 7 is given.*on record with 6"),
        ({"minutes": "60"}, "Column minutes: 60 .*nothing there"),
        ({"lot": "12"}, "Column lot"),
    ):
        with pytest.raises(BadValue, match=says):
            desk.record(place, bath, photo=OTHER, card=CARD, swatch=PLACE, code=code)
    with sb.Library(place) as lib:
        assert len(lib) == 1
        assert [state for state, _, _ in lib.swatch(code).measurements] == ["dry", "wet"]
        assert lib.swatch(code).conditions["pH"] == 6


def test_one_photo_gives_one_reading_of_a_state(place):
    bath = {"fibre": "wool", "dyestuff": "weld"}
    desk.record(place, bath, photo=PHOTO, card=CARD, swatch=PLACE, name="a")
    with pytest.raises(BadValue, match="already"):
        desk.record(place, {}, photo=PHOTO, card=CARD, swatch=PLACE, code="a")


def test_a_table_adds_readings_by_code_beside_new_swatches(place, tmp_path):
    desk.record(place, {"fibre": "wool", "dyestuff": "weld"}, name="a")
    with sb.Library(place) as lib:
        code = lib.swatch("a").code
    shutil.copy(PHOTO, tmp_path)
    marks = written(tmp_path, MARKS.format(PHOTO.name) + f"{PHOTO.name},b,swatch,805,245,48\n", "m")
    table = (
        f"swatch,name,fibre,dyestuff,photo\n{code},,,,{PHOTO.name}\n,b,silk,madder,{PHOTO.name}\n"
    )
    done = put(place, table, tmp_path, marks=marks)
    assert (done.readings, done.left_out) == (2, ())
    with sb.Library(place) as lib:
        assert len(lib) == 2
        assert lib.swatch("a").measured is not None
    for cell, says in (
        (f"{code},,silk,,{PHOTO.name}", "Row 2, column fibre: 'silk'.*on record with wool"),
        (f"{code},other,,,{PHOTO.name}", "Row 2, column name: 'other'.*on record with a"),
        (f"33334,,,,{PHOTO.name}", "Row 2, column swatch"),
        (f"{code},,,,", "Row 2, column photo.*no marked photo"),
        (f",a,wool,weld,{PHOTO.name}", f"Row 2, column name: .*{code} in a column swatch"),
        (f"{code},,,,{PHOTO.name}", "already"),
    ):
        with pytest.raises((BadTable, BadValue), match=says):
            put(place, f"swatch,name,fibre,dyestuff,photo\n{cell}\n", tmp_path, marks=marks)


def test_the_command_adds_a_reading_by_code(place):
    run("record", "--set", "fibre=wool", "--set", "dyestuff=weld", "--name", "a",
        "--library", place)  # fmt: skip
    text = run("record", PHOTO, "--card", "798,900,97", "--swatch", "261,250,49", "--code", "a",
               "--library", place).stdout  # fmt: skip
    assert "1 reading from 1 photo." in text
    assert "Take care" not in text
    result = run("record", "--code", "a", "--library", place, ok=2)
    assert "Give a photo" in result.stderr
