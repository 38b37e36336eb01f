"""Options that would be ignored are refused, and a refusal leaves no library behind."""

import json

import pytest

import swatchbath as sb
from command import run
from record_made import CARD, PHOTO, PLACE, SAMPLE, put, written
from swatchbath import desk
from swatchbath.errors import BadValue, NotFound


@pytest.fixture
def place(tmp_path):
    """A folder for a library that is not there yet."""
    return tmp_path / "house" / "library"


TABLE = "name,fibre,dyestuff\na,wool,weld\n"


@pytest.mark.parametrize(
    ("words", "option"),
    [
        ([str(PHOTO)], "PHOTO"),
        (["--name", "a"], "--name"),
        (["--set", "fibre=wool"], "--set"),
        (["--card", "1,1,1"], "--card"),
        (["--card-lab", "50,0,0"], "--card-lab"),
        (["--swatch", "1,1,1"], "--swatch"),
        (["--state", "dry"], "--state"),
        (["--code", "33333"], "--code"),
    ],
    ids=lambda v: str(v)[:12],
)
def test_an_option_that_a_table_would_ignore_is_refused(place, tmp_path, words, option):
    table = written(tmp_path, TABLE)
    result = run("record", *words, "--baths", table, "--library", place, ok=2)
    assert result.stderr.startswith(f"swatchbath: {option} tells of one swatch")
    assert not place.parent.exists()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--marks", "m.csv"], "--marks goes with a table"),
        (["--photos", "."], "--photos goes with a table"),
        (["--cards", "c.csv"], "--cards goes with a table"),
        (["--card", "1,1,1"], "no photo"),
        (["--state", "wet"], "no photo"),
        (["--swatch", "1,1,1"], "together"),
    ],
    ids=lambda v: str(v)[:12],
)
def test_an_option_that_one_swatch_would_ignore_is_refused(place, words, says):
    result = run("record", "--set", "fibre=wool", "--set", "dyestuff=weld", *words,
                 "--library", place, ok=2)  # fmt: skip
    assert says in result.stderr
    assert not place.parent.exists()


def test_photos_and_cards_without_marks_are_refused(place, tmp_path):
    with pytest.raises(BadValue, match="--marks"):
        put(place, TABLE, tmp_path, photos=tmp_path)


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["--set", "fibre=stone", "--set", "dyestuff=weld"],
        ["no such photo.jpg", "--card", "1,1,9", "--swatch", "5,5,9", "--set", "fibre=wool",
         "--set", "dyestuff=weld"],
        [str(PHOTO), "--card", "1,1,99", "--swatch", "261,250,49", "--set", "fibre=wool",
         "--set", "dyestuff=weld"],
        [str(PHOTO), "--card", "798,900,97", "--swatch", "261,250,49", "--code", "33333"],
        ["--baths", "no such table.csv"],
        ["--baths", "TABLE", "--marks", "no such marks.csv"],
        ["--baths", "CODES", "--marks", str(SAMPLE / "marks.csv")],
    ],
    ids=lambda v: " ".join(v)[:30],
)  # fmt: skip
def test_a_refused_record_leaves_no_library_behind(place, tmp_path, words):
    table = written(tmp_path, TABLE.replace("dyestuff\n", "dyestuff,photo\n").replace(
        "weld\n", "weld,photo_01.jpg\n"))  # fmt: skip
    codes = written(tmp_path, "swatch,photo\n33333,photo_01.jpg\n", "codes.csv")
    words = [{"TABLE": str(table), "CODES": str(codes)}.get(w, w) for w in words]
    result = run("record", *words, "--library", place, ok=2)
    assert result.stderr.startswith("swatchbath: ")
    assert not place.parent.exists()


def test_an_open_library_can_be_recorded_into(tmp_path):
    with sb.Library(tmp_path / "open", create=True) as lib:  # empty, and not taken for none
        desk.record(lib, {"fibre": "wool", "dyestuff": "weld"}, name="a")
        assert len(lib) == 1
        with pytest.raises(NotFound):
            desk.record(lib, {}, photo=PHOTO, card=CARD, swatch=PLACE, code="nobody")


def test_codes_come_first_and_what_holds_for_every_bath_is_one_line(place, tmp_path):
    table = written(
        tmp_path,
        "name,fibre,dyestuff,modifier,temperature_C\na,wool,weld,iron,80\nb,silk,weld,none,70\n",
    )
    text = run("record", "--baths", table, "--library", place).stdout
    with sb.Library(place) as lib:
        first = lib.codes()[0]
    assert text.index(f"{first}  a") < text.index("Take care:") < text.index("For every bath:")
    assert "iron" in text[text.index("Take care:") :]
    general = text[text.index("For every bath:") :]
    assert "\n  -" not in general and "safety sheet" in general
    one = json.loads(run("record", "--set", "fibre=wool", "--set", "dyestuff=weld", "--set",
                         "modifier=iron", "--library", place, "--json").stdout)  # fmt: skip
    assert any("iron" in c for c in one["cautions"])
    assert any("safety sheet" in c for c in one["cautions"])
