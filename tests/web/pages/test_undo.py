"""Undo takes back what the screen named, and nothing that came after."""

import re

from swatchbath import desk


def edited(house, vessel):
    """The change that the next screen offers to take back."""
    house.fill("/swatch/24b/edit", {"is-vessel": vessel, "was-vessel": ""})
    return re.search(r'name="change" value="(\d+)"', house.look("/"))[1]


def vessel(house):
    with desk.open_library(house.folder) as library:
        return library.swatch("24b").conditions["vessel"]


def test_what_was_named_is_taken_back_once(house):
    change = edited(house, "enamel")
    assert vessel(house) == "enamel"
    house.fill("/undo", {"change": change})
    assert vessel(house) == "stainless steel"
    house.fill("/undo", {"change": change}, ok=422)
    assert vessel(house) == "stainless steel"


def test_what_another_program_did_since_is_not_taken_back_in_its_place(house):
    change = edited(house, "enamel")
    with desk.open_library(house.folder) as library:
        desk.edit(library, "01a", ["note=by another"])
    answer = house.fill("/undo", {"change": change}, ok=422)
    assert "Something else was changed since" in answer.text
    assert vessel(house) == "enamel"
    with desk.open_library(house.folder) as library:
        assert library.swatch("01a").conditions["note"] == "by another"


def test_the_sentence_is_shown_once(house):
    edited(house, "enamel")
    assert "Undo" not in house.look("/")
