"""`show` tells all that is on record."""

import json
import re
from dataclasses import replace

import pytest

import swatchbath as sb
from command import run
from library_made import DYE
from record_made import put
from swatchbath import desk


@pytest.fixture
def place(tmp_path):
    """A folder for a library that is not there yet."""
    return tmp_path / "house" / "library"


def test_show_tells_all_that_is_recorded(place, tmp_path):
    cells = {
        "fibre": "wool", "fibre_form": "superwash", "base_L": "91", "fibre_g": "17",
        "dyestuff": "weld", "dyestuff_form": "dried", "dyestuff_lot": "W25", "dye_owf": "63",
        "dyestuff_2": "madder", "dye_owf_2": "7", "tannin": "sumac", "tannin_owf": "8",
        "mordant": "alum", "mordant_owf": "13", "assist": "chalk", "assist_owf": "4", "pH": "6.4",
        "temperature_C": "77", "minutes": "55", "liquor_ratio": "33", "bath_number": "2",
        "modifier": "vinegar", "modifier_pH": "4.6", "modifier_minutes": "12",
        "modifier_2": "iron", "modifier_owf_2": "1.5", "wash_pH": "7.2", "water": "rain",
        "vessel": "enamel", "lot": "12", "session": "2026-03-14", "shelf": "box 3",
    }  # fmt: skip
    put(place, f"name,{','.join(cells)}\na,{','.join(cells.values())}\n", tmp_path)
    shown = " ".join(run("show", "a", "--library", place).stdout.split())
    with sb.Library(place) as lib:
        shown = shown[shown.rindex(f"{lib.codes()[0]} (a)") :]
    cells["session"] = "14 Mar 2026"
    for column, value in cells.items():
        assert value in shown, column
    assert "Whether madder went in together" in shown
    assert re.search(r"What happened: \d{1,2} [A-Z][a-z]{2} \d{4}, \d\d:\d\d recorded", shown)
    assert "UTC" not in shown
    for none in ("no tannin", "no addition", "no after-bath"):
        assert none not in shown


def test_show_tells_what_there_was_none_of_and_a_fresh_bath(place, tmp_path):
    put(
        place,
        "name,fibre,dyestuff,tannin,modifier,bath_number\na,wool,weld,none,none,1\n",
        tmp_path,
    )
    shown = run("show", "a", "--library", place).stdout
    assert "Noted: no tannin, no after-bath." in shown
    assert "A fresh bath." in shown


def test_show_in_json_holds_no_time_stamp(place, tmp_path):
    put(place, "name,fibre,dyestuff\na,wool,weld\n", tmp_path)
    told = json.loads(run("show", "a", "--library", place, "--json").stdout)
    assert told["history"] == [{"what": "recorded"}]


def test_a_second_bath_points_to_its_pot_and_the_pot_to_it(tmp_path):
    with sb.Library(tmp_path, create=True) as lib:
        lib.add_lot([DYE], name="12")
        first = lib.add_swatch(lot="12", fibre={"fibre": "wool"})
        second = [
            lib.add_swatch(steps=[replace(DYE, bath_number=2, pot=pot)], fibre={"fibre": "wool"})
            for pot in ("12", first, "a pot of last year")
        ]
        assert desk.show(lib, first)["liquor_went_to"] == second[:2]
        told = desk.edit(lib, second[0], ["bath_of=12", "pH_end=6.5"]).edited.changed
        assert told == {"pH_end": (None, 6.5)}
        desk.edit(lib, second[1], ["bath_of=12"])
        assert desk.show(lib, second[1])["liquor_of"] == {"12": [first]}
        desk.undo(lib)
        assert desk.show(lib, first)["liquor_of"] == {}
        assert [desk.show(lib, code)["liquor_of"] for code in second] == [
            {"12": [first]}, {first: [first]}, {"a pot of last year": []},
        ]  # fmt: skip
    said = " ".join(run("show", second[0], "--library", tmp_path).stdout.split())
    assert f"Dyed in the liquor of pot 12 ({first} came out of it)." in said
    said = run("show", second[2], "--library", tmp_path).stdout
    assert "not on record" in said
    assert "used again for" in run("show", first, "--library", tmp_path).stdout
